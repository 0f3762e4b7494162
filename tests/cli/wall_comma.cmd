wall wall_shared.json --set /wall/moisture=0,16 --set /wall/thickness_mm=4,5
