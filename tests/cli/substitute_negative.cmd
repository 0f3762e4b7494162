substitute substitute_example.json --set /limits/-='{"material": "quartz", "least_percent": -3}'
