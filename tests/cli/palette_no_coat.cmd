palette palette_example.json --set /slips/2/coat_g_m2=null
