palette palette_example.json --set /illuminants=[\"A\"] --set /severity=0.5 --set /glaze=null
