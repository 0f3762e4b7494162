learn ../../docs/example-piece.json
