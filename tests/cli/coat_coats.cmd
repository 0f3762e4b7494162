coat --set /coats=3 --set /one_coat_g_m2=90 --set /litre_weight_g=1400
