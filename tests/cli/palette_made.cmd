palette palette_made.json
