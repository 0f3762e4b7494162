window window_example.json --set /best=null
