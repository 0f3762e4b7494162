move_cone move_cone_example.json --set '/limits/0={"material":"kaolin","least_percent":15}' --set /choices=2
