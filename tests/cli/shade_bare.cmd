shade shade_example.json --set /glaze=null --set /geometry=45_0
