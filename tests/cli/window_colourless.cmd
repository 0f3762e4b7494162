window window_example.json --set /slip/absorption_m2_g=0 --set /slip/scattering_m2_g=0
