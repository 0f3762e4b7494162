shade shade_two.json
