shade shade_made.json --json
