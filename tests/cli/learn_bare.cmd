learn learn_example.json --set /tiles/2/glaze_g_m2=null
