colour colour_lab.json
