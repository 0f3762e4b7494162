thin --set /litre_weight_g=1.500,5
