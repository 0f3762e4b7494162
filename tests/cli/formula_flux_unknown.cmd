formula formula_example.json --set '/flux_oxides=["K2O","Ca0"]'
