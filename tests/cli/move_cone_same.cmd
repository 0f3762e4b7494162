move_cone move_cone_example.json --set /to_c=1280 --set /choices=2
