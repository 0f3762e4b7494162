bleed bleed_example.json --json
