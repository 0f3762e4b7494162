window window_example.json --set /best=-1
