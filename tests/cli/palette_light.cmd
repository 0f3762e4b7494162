palette palette_example.json --set /illuminants=[\"D66\"]
