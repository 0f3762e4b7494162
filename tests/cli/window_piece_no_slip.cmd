window ../../docs/example-piece.json
