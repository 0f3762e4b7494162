formula formula_example.json --set /recipie=1
