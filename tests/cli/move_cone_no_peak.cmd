move_cone move_cone_example.json --set /to_c=null
