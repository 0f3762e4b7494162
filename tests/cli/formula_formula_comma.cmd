formula formula_odd.json --set /materials/0/formula=Al2O3,6SiO2
