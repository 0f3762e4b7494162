window ../../docs/example-piece.json --set /ask/slip=slat
