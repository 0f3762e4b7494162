piece ../../docs/example-piece.json --set /glase=3
