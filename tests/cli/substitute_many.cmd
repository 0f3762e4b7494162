substitute substitute_example.json --set /choices=51
