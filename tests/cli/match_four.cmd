match match_example.json --set /most_stains=4
