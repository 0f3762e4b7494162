form form_example.json --set /inside/3/diameter_mm=170
