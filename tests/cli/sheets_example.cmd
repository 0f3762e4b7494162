sheets ../../docs/example-piece.json --out "$SCRATCH/a.pdf"
