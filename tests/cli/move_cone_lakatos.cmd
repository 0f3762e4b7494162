move_cone move_cone_example.json --set /model=lakatos1976
