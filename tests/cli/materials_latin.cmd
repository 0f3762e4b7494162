materials --set /table=@materials_latin.csv
