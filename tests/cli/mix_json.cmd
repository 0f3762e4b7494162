mix mix_example.json --json
