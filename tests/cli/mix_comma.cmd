mix mix_example.json --set /area_cm2=180,5 --set /scale_step_g=0,01
