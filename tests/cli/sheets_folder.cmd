sheets ../../docs/example-piece.json --out "/nowhere/at/all.pdf"
