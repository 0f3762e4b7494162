piece ../../docs/example-piece.json --set /pots=-2
