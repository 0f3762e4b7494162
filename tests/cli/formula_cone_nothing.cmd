formula formula_cone.json --set '/make_unity={"K2O":0}'
