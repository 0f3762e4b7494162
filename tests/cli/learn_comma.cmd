learn learn_example.json --set /tiles/1/coat_g_m2=60,5 --set /lab_error=0,7
