thin --set /litre_weight_g=1500 --set /target_litre_weight_g=1000
