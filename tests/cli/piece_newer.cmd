piece ../../docs/example-piece.json --set /version=2
