overlaps overlaps_violet.json --set /limits/seen_de00=2,5
