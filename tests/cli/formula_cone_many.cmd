formula formula_cone.json --set '/recipe/lines/-={"material":"potash feldspar","parts":0}'
