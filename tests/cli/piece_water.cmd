piece ../../docs/example-piece.json --set /slips/1/litre_weight_g=1000
