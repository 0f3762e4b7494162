thin thin_example.json --out x.json
