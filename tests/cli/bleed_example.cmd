bleed bleed_example.json
