mix mix_whole.json --json
