substitute substitute_example.json --json --set /choices=1 --set /stock/1=quartz
