wall wall_shared.json --set /wall/moisture=20
