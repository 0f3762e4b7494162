thin --set /volume_ml=1000
