formula formula_clay.json --set '/recipe/lines/0/material=violet stain (invented)'
