learn learn_example.json --set /tiles/3/coat_g_m2=0 --set /tiles/3/lab=[38,17,19]
