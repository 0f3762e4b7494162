palette ../../data/tide-line.json --set /ask/over/reflectance=0.5
