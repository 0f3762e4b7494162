shade shade_made.json
