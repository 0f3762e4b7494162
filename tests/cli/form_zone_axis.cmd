form form_example.json --set /zones/0/face=inside --set /zones/0/from_mm=0
