thin --set /litre_weight_g=1000 --set /target_litre_weight_g=1500
