mix mix_dry.json --set /slip/line=3
