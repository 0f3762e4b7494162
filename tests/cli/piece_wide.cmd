piece ../../docs/example-piece.json --set /painting/1/repeat/count=40
