sheets ../../docs/example-piece.json --set '/ask/only=["colors"]' --out "$SCRATCH/a.pdf"
