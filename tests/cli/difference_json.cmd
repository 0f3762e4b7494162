difference difference_example.json --json
