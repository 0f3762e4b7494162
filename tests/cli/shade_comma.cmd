shade shade_example.json --set /stack_top_first/0/coat_g_m2=87,5
