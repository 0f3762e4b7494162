wall wall_rim.json
