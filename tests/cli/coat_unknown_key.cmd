coat --set /wet_m=0.5 --set /litre_weight_g=1380
