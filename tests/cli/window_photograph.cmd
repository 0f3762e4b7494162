window window_example.json --set /slip/tiles_read_by=photograph --set /slip/window/best_g_m2=70 --set /best=null
