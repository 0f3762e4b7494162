shade shade_example.json --set /uncertainty/coat_percent=5 --set /uncertainty/absorption_percent=3
