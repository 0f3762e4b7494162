overlaps overlaps_violet.json --set /slips/1/absorption_m2_g=0.5
