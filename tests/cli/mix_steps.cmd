mix mix_dry.json --set /dry_g=1e9 --set /scale_step_g=0.001
