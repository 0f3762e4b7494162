learn learn_example.json --set /tiles/1/coats=2
