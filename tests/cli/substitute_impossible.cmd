substitute substitute_example.json --set /stock/1=quartz --set /limits='[{"material": "ball clay (invented)", "least_percent": 30}, {"class": "plastic clay", "most_percent": 20}]'
