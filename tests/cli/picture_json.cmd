picture picture_small.json --json --set /ask/zone=wall --set /ask/width_px=600 --out "$SCRATCH/a.png"
