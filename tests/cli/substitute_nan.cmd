substitute substitute_example.json --set /weights='{"CaO": "NaN"}'
