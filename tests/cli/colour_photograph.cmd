colour colour_photograph.json --set /photograph/file=@chart.png
