colour colour_example.json --json
