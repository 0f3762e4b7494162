palette palette_example.json --set /severity=1.5
