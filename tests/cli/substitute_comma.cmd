substitute substitute_example.json --set /class_points=2,5 --set /target/recipe/lines/0/parts=40,0 --set /choices=1
