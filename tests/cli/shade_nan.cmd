shade shade_example.json --set /stack_top_first/0/scattering_m2_g=NaN
