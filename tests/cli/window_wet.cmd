window window_example.json --set /slip/litre_weight_g=2450 --set /slip/solids_density=2.4
