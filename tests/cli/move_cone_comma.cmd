move_cone move_cone_example.json --set /from_c=1279,5 --set /choices=1 --json
