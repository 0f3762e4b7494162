formula formula_whole.json --json
