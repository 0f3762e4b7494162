formula formula_slip.json
