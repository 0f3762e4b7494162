colour colour_outside.json
