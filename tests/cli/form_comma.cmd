form form_example.json --set /outside/3/diameter_mm=176,5 --set /fill_below_lip_mm=10,0
