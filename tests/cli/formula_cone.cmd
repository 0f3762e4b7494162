formula formula_cone.json
