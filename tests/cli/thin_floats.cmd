thin --set /litre_weight_g=1500 --set /solids_density=0.9
