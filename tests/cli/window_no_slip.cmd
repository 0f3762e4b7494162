window window_example.json --set /slip=null
