palette palette_example.json --set /slips/1/absorption=2
