thin thin_example.json --json
