colour colour_example.json
