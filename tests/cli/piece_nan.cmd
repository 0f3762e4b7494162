piece ../../docs/example-piece.json --set /slips/0/coat_g_m2=NaN
