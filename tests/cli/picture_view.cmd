picture picture_small.json --set /ask/view=top --out "$SCRATCH/a.png"
