sheets ../piece/v1-cylinder.json --set /ask/pixel_mm=1 --out thin_example.json/x.pdf
