formula formula_none.json
