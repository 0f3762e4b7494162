move_cone move_cone_slip.json --json
