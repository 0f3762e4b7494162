picture picture_small.json --set /ask/strength=pale --set /ask/width_px=600 --out "$SCRATCH/a.png"
