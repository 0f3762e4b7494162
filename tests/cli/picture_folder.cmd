picture picture_small.json --out "/nowhere/at/all.png"
