palette palette_example.json --set /slips/1/absorption_m2_g=null
