coat --set /jar_loss_g=6.9 --set /litre_weight_g=1380
