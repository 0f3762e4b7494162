substitute substitute_example.json --set /limits='[{"material": "quarts", "must": true}]'
