thin --json --set /litre_weight_g=1750 --set /target_litre_weight_g=1500 --set /volume_ml=11200 --set /solids_density=2.5
