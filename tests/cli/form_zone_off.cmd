form form_example.json --set /zones/0/to_mm=200
