form form_example.json --set /outside/1/diameter_mm=72 --set /outside/1/height_mm=0
