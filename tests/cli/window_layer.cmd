window window_example.json --set /over/stack_top_first/0/coat_g_m2=90
