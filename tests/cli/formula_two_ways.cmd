formula formula_odd.json --set '/materials/0/moles/SiO2=1'
