match match_example.json --set /glaze/eats_g_m2=15 --set /illuminant=D50 --set /choices=1
