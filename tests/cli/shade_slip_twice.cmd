shade shade_two.json --set /stack_top_first/0/scattering_m2_g=0.01
