piece bad_number.json
