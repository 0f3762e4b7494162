move_cone move_cone_slip.json --set /from_c=1219,5 --set /recipe/lines/2/parts=12,5
