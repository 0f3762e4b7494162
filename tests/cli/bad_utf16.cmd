thin bad_utf16.json
