window window_example.json --set /tolerence=3
