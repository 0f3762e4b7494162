coat coat_example.json --set /jar_loss_g=6,9 --set /area_cm2=1,0e2
