coat --set /jar_before_g=256 --set /litre_weight_g=1380 --set /area_cm2=100
