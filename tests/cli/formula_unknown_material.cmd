formula formula_example.json --set /recipe/lines/1/material=whitning
