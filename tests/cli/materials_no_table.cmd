materials --set /file=x.csv
