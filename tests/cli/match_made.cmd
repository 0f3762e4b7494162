match match_made.json
