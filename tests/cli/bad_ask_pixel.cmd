coverage ../piece/v1-cylinder.json --set /ask/pixel_mm=0,001
