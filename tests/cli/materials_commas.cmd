materials --set /table=@materials_commas.csv
