thin --set /litre_weight_g=1500 --set /solids_density_error=2
