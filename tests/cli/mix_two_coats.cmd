mix mix_dry.json --set /dry_g=null --set /area_cm2=100 --set /wet_mm=0.5 --set /coat_g_m2=100
