thin --set /litre_weight_g=990
