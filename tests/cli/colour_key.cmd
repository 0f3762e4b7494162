colour colour_key.json
