mix mix_nothing.json
