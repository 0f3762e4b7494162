window window_example.json --set /slip=7
