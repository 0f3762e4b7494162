mix mix_dry.json --set /dry_g=null --set /area_cm2=100
