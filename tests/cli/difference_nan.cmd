difference difference_example.json --set /lab1/2=NaN
