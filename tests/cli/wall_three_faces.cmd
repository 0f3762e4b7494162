wall wall_shared.json --set /wall/faces=3
