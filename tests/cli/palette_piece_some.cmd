palette ../../data/tide-line.json --set /ask/pixel_mm=1 --set "/ask/slips=[\"white\",\"blue\"]"
