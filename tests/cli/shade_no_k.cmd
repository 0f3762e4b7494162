shade shade_two.json --set '/stack_top_first/1={"scattering_m2_g":0.01,"coat_g_m2":5}'
