sheets ../../docs/example-piece.json --set '/ask/only=["colours"]' --json --out "$SCRATCH/a.pdf"
