palette palette_example.json --set /slips=blue
