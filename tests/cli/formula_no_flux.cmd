formula formula_clay.json
