learn learn_example.json --set /tiles/2/lab=null --set /tiles/2/reflectance=0.3
