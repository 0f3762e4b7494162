coat --set /litre_weight_g=1380
