colour colour_none.json
