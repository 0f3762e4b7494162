materials materials_example.json --set /trace_percent=9
