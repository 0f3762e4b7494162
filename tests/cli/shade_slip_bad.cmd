shade shade_two.json --set /stack_top_first/0/slip/absorption_m2_g=-0.1
