shade shade_example.json --set /substrate/reflectance=[0.1,0.2,0.3]
