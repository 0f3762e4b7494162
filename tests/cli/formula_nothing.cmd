formula formula_clay.json --set /recipe/lines/0/parts=0
