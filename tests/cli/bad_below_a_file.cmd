thin thin_example.json/below.json
