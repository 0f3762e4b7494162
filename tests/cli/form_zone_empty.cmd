form form_example.json --set /zones/0/from_mm=70
