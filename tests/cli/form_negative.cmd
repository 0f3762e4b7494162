form form_example.json --set /outside/1/diameter_mm=-110
