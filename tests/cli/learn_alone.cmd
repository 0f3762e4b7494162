learn learn_example.json --set /tiles/0/coat_g_m2=30
