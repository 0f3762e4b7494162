move_cone move_cone_slip.json --set '/flux=borate frit'
