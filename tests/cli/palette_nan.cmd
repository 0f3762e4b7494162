palette palette_example.json --set /close_de00=NaN
