thin thin_example.json thin_example.json
