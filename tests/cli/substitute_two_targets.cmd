substitute substitute_example.json --set /target/unity='{"CaO": 1, "SiO2": 2}'
