move_cone move_cone_slip.json --set /recipe/lines/2/material=quartz
