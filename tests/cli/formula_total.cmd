formula formula_odd.json --set '/materials/0={"name":"my own","analysis":{"SiO2":60,"K2O":12,"Al2O3":20}}'
