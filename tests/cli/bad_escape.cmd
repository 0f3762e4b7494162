thin bad_escape.json
