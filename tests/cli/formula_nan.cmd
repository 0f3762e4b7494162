formula formula_example.json --set /recipe/lines/0/parts=NaN
