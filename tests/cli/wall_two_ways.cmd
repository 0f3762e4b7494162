wall wall_shared.json --set /coats/0/coat_g_m2=100
