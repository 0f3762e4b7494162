difference difference_example.json --set /lab3=[1,2,3]
