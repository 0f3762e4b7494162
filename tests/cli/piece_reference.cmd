piece ../../docs/example-piece.json --set /painting/1/motif=reeed
