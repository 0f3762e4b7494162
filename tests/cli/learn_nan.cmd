learn learn_example.json --set /tiles/1/coat_g_m2=NaN
