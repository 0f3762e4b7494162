shade shade_example.json --set /geometry=d8
