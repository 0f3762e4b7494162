thin bad_utf8.json
