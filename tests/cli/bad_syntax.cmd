thin bad_syntax.json
