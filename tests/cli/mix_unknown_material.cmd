mix mix_dry.json --set /slip/lines/1/material=quarz
