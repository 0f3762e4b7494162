form form_example.json --json
