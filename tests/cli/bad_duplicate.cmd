thin bad_duplicate.json
