piece ../piece/v1-cylinder.json --set /ask/pixel_mm=1 --set /painting/2/repeat/count=29 --set /slips/2/bleed_mm=0.35
