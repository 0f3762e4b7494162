coat --set /coats=3 --set /litre_weight_g=1400
