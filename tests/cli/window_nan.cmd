window window_example.json --set /tolerance=NaN
