overlaps overlaps_violet.json --set /slips/0/ground=false
