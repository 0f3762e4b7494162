thin thin_example.json
