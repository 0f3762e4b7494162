formula formula_whole.json
