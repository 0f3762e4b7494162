match match_example.json
