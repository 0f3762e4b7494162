difference difference_pair17.json --json
