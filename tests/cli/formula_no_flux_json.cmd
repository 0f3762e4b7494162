formula formula_clay.json --json
