coat --json --set /fired_mm=0.2 --set /litre_weight_g=1400
