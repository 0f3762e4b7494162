learn learn_example.json --set /tiles/2/coat_g_m2=null --set /tiles/2/jar_loss_g=3.1 --set /litre_weight_g=1380
