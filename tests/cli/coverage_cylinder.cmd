coverage ../piece/v1-cylinder.json --json --set /ask/pixel_mm=1
