move_cone move_cone_example.json --set /cone=6
