piece ../../docs/example-piece.json --set /format=leatherhard.peace
