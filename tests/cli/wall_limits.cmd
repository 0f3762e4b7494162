wall wall_shared.json --set /caution_moisture=0.4
