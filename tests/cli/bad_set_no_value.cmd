thin --set /litre_weight_g
