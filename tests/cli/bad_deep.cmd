piece bad_deep.json
