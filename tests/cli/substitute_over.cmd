substitute substitute_example.json --set /limits='[{"material": "quartz", "share_percent": 60}, {"material": "kaolin", "least_percent": 50}]'
