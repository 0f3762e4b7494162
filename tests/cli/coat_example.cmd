coat coat_example.json
