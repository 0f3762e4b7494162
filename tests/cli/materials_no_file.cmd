materials --set /table=@none.csv
