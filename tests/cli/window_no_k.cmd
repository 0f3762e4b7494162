window window_example.json --set /slip/absorption_m2_g=null
