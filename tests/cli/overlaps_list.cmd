overlaps overlaps_violet.json --set /painting=3
