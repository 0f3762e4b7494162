formula formula_cone.json --set /make_unity/Si02=1
