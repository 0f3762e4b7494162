window ../../docs/example-piece.json --set /ask/slip=slate --set /ask/glaze/index=1.4
