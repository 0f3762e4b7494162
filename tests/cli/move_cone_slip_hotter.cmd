move_cone move_cone_slip.json --set /to_c=1280
