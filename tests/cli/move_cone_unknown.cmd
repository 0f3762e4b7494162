move_cone move_cone_example.json --set /recipe/lines/0/material=feldsparr
