picture picture_small.json --set /ask/view=side --set /ask/width_px=300 --set /ask/turn_turns=0,25 --out "$SCRATCH/a.png"
