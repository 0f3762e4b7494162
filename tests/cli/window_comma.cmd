window window_example.json --set /best=62,5 --set /tolerance=1,5
