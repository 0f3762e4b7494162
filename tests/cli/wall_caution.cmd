wall wall_rim.json --set /rim=null --set /wall/thickness_mm=4
