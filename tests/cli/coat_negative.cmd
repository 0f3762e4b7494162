coat --set /wet_mm=-0.5 --set /litre_weight_g=1380
