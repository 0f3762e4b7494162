thin no-such-file.json
