coverage ../piece/v1-cylinder.json --set /ask/pixel_mm=1 --set /slips/2/bleed_mm=5
