colour colour_photograph_one.json --set /photograph/file=@chart.png --set /photograph/patches=[]
