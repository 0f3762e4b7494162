mix mix_whole.json
