slips slips_example.json
