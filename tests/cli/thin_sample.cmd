thin --json --set /weighed_g=65 --set /weighed_ml=50 --set /volume_ml=50 --set /solids_density=2.65
