materials materials_example.json --set /trace_percent=0,25 --json
