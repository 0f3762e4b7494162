wall wall_example.json --json
