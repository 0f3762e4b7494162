move_cone move_cone_example.json --set /recipe/lines/2/parts=60
