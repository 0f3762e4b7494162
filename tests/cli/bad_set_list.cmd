piece ../piece/v1-cylinder.json --set /slips/7/coat_g_m2=1
