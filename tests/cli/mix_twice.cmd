mix mix_dry.json --set /area_cm2=100
