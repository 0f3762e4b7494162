formula formula_example.json --set /recipe/lines/0/parts=1.234,5
