overlaps ../../docs/example-piece.json --set /ask/pixel_mm=1
