shade shade_example.json --set /illuminant=A
