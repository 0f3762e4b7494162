colour colour_photograph_one.json --set /photograph/file=@chart.png --set /photograph/patches/14/lab=[50,60,-40]
