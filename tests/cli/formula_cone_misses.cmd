formula formula_cone.json --set /make_unity/MgO=0.2
