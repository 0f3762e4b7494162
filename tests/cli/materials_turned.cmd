materials --set /table=@materials_turned.csv
