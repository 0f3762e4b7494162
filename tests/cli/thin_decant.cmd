thin --set /litre_weight_g=1200 --set /target_litre_weight_g=1460
