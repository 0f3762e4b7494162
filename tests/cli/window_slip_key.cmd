window window_example.json --set /slip/absorbtion=3
