picture picture_small.json --set /ask/strength=weak --out "$SCRATCH/a.png"
