move_cone move_cone_example.json --set /recipe/kind=body
