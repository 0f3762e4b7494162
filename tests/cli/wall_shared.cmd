wall wall_shared.json --json
