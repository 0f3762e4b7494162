shade shade_example.json --set /substrate/reflectance=1.2
