mix mix_example.json
