thin --set /litre_weight_g=1500 --set /volume_ml=0
