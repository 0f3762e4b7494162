shade shade_example.json --json
