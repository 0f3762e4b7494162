materials materials_example.json --json
