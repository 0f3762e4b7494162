piece ../../docs/example-piece.json
