substitute substitute_slip.json --json --set /choices=1
