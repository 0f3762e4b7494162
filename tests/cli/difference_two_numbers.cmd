difference difference_example.json --set /lab1=[50,10]
