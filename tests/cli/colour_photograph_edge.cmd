colour colour_photograph_one.json --set /photograph/file=@chart.png --set /photograph/tiles/0/x=0,01
