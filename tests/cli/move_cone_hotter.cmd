move_cone move_cone_example.json --set /from_c=1220 --set /to_c=1260 --set /choices=2
