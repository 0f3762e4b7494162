colour colour_xyz.json --json
