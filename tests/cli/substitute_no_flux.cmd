substitute substitute_example.json --set /target='{"unity": {"SiO2": 3}}'
