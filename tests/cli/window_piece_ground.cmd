window ../../docs/example-piece.json --set /ask/slip=white --set /ask/pixel_mm=1
