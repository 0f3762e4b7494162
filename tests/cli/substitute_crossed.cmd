substitute substitute_example.json --set /limits='[{"class": "silica", "least_percent": 30, "most_percent": 20}]'
