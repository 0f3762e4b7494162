coat --set /dry_gain_g=3.107 --set /litre_weight_g=1380 --set /area_cm2=100
