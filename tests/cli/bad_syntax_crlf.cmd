thin bad_syntax_crlf.json
