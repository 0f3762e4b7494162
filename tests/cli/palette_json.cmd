palette palette_example.json --json
