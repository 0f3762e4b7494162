match match_example.json --json --set /choices=2
