palette palette_example.json --set /slips/1/absorption_m2_g=0.0125 --set /slips/1/scattering_m2_g=0.006 --set /slips/1/coat_g_m2=75 --set /over=null
