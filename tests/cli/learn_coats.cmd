learn learn_example.json --set /tiles/1/coat_g_m2=null --set /tiles/1/coats=2
