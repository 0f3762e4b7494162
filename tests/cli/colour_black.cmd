colour colour_black.json --json
