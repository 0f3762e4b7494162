thin --set /litre_weight_g=2600
