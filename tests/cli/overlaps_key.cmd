overlaps overlaps_violet.json --set /ask/pixel=1
