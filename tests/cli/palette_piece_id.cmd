palette ../../data/tide-line.json --set "/ask/slips=[\"white\",\"pink\"]"
