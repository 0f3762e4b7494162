coverage ../piece/v1-cylinder.json --set /painting/0/mark/coats=100
