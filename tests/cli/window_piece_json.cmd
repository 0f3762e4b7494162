window ../../docs/example-piece.json --set /ask/slip=slate --set /ask/pixel_mm=1 --json
