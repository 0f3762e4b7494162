move_cone move_cone_example.json --set '/limits/0={"material":"kaolin","least_percent":90,"most_percent":20}'
