form form_example.json --set /inside/2/diameter_mm=0
