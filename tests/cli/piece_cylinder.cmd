piece ../piece/v1-cylinder.json --set /ask/pixel_mm=1 --set "/painting/1/mark/coats=0,9"
