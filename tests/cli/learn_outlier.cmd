learn learn_example.json --set '/tiles/4={"name":"4","ground":"body","coat_g_m2":170,"glaze_g_m2":600,"lab":[30,-10,-20]}'
