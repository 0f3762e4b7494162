coverage ../piece/v1-cylinder.json --set /ask/pixel=1
