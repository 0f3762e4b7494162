wall wall_rim.json --json
