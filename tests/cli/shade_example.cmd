shade shade_example.json
