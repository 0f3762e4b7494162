window window_example.json --set /over=null
