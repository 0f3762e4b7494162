thin --set /litre_weight_g=1.600,5
