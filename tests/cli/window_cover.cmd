window window_example.json --set /body/reflectance=0.3 --set /ground/reflectance=0.7 --set /slip/scattering_m2_g=0.02
