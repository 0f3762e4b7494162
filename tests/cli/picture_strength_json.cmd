picture picture_small.json --json --set /ask/strength=strong --set /ask/width_px=600 --out "$SCRATCH/a.png"
