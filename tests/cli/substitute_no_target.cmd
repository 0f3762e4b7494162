substitute substitute_example.json --set /target='{}'
