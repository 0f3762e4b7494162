palette palette_example.json --set /confused_de00=3,5 --set /slips/0/coat_g_m2=85,5
