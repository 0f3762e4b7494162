colour colour_photograph_one.json --set /photograph/file=@colour_photograph.json
