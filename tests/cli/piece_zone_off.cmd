piece ../../docs/example-piece.json --set /zones/0/to_mm=300
