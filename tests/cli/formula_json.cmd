formula formula_example.json --json
