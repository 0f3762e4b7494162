formula formula_odd.json --set '/materials/0/formula=(((((((((SiO2)))))))))'
