formula formula_slip.json --json
