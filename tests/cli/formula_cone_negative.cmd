formula formula_cone.json --set /make_unity/SiO2=2
