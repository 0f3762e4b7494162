sheets ../../docs/example-piece.json --out /dev/full
