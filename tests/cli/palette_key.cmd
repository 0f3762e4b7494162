palette palette_example.json --set /illuminant=A
