difference difference_example.json --set /lab2/0=45,2 --set /lab2/1=18,1
