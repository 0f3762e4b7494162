substitute substitute_example.json --set /weights='{"Sio2": 2}'
