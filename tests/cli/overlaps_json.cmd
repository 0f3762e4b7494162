overlaps overlaps_violet.json --json
