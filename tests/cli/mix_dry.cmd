mix mix_dry.json --json
