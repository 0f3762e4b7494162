shade shade_example.json --set /stack_top_first=[] --set /glaze=null --set /substrate/reflectance=0.5
