sheets ../../docs/example-piece.json
