formula formula_example.json --set '/flux_oxides=["K2O","CaO","Fe2O3"]' --json
