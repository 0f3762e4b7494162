coat --set /jar_before_g=256.4 --set /jar_after_g=249.5 --set /litre_weight_g=1380 --set /area_cm2=100 --set /one_coat_g_m2=150
