substitute substitute_example.json --set /limits='[{"material": "quartz", "ratio": 2}]'
