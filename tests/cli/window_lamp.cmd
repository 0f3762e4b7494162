window window_example.json --set /illuminant=A --set /glaze=null
