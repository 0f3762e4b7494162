mix mix_example.json --set /scale_step_g=1
