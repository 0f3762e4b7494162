thin no-such-folder/file.json
