wall wall_shared.json --set /wall/thickness_mm=0.4
