substitute substitute_example.json --set /cheapest=true
