palette palette_example.json --set /illuminants=[\"A\",\"A\"]
