coat coat_example.json --json
