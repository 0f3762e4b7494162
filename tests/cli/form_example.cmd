form form_example.json
