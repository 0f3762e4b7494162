coat --set /jar_loss_g=6.9 --set /dry_gain_g=3 --set /litre_weight_g=1380 --set /area_cm2=100
