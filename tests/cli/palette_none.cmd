palette palette_example.json --set /slips=null
