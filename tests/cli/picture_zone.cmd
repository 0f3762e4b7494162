picture picture_small.json --set /ask/zone=wal --out "$SCRATCH/a.png"
