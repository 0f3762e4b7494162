thin --set /litre_weight_g=1562,5 --set /target_litre_weight_g=1500 --set /volume_ml=0,8e3
