picture picture_small.json --set /ask/width_px=600 --out "$SCRATCH/a.png"
