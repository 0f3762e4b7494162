colour colour_photograph_one.json --set /photograph/file=@materials_latin.csv
