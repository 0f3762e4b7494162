picture picture_small.json --set /ask/zone=floor --out "$SCRATCH/a.png"
