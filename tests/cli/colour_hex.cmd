colour colour_hex.json
