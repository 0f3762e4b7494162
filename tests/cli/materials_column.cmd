materials --set /table=@materials_quarry.csv --set /file=materials_quarry.csv
