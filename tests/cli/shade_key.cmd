shade shade_example.json --set /glaze/opticaldepth=0.1
