overlaps overlaps_violet.json --set /slips/1/coat_g_m2=NaN
