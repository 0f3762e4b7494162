picture picture_small.json --set /ask/width_px=9 --out "$SCRATCH/a.png"
