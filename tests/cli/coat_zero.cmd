coat --set /jar_loss_g=0 --set /litre_weight_g=1380 --set /area_cm2=100
