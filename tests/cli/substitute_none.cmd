substitute substitute_example.json --set /most_materials=0
