formula formula_odd.json --set '/materials/0/formula=C6H12O6'
