match match_example.json --set /least_g_m2=120
