piece ../../docs/example-piece.json --set /form/inside/2/diameter_mm=90
