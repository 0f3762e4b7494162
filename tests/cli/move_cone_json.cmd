move_cone move_cone_example.json --set /choices=2 --json
