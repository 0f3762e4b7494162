coverage ../../docs/example-piece.json
