learn learn_example.json --set /tiles/0/lab=[100,90,-90]
