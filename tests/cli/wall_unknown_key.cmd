wall wall_shared.json --set /wall/thicknes_mm=4
