formula formula_odd.json --set '/materials/0={"name":"my own","analysis":{"SiO2":60,"LOI":101}}'
