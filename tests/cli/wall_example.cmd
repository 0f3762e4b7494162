wall wall_example.json
