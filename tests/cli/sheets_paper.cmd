sheets ../../docs/example-piece.json --set /ask/paper=A5 --out "$SCRATCH/a.pdf"
