learn learn_example.json --set /tiles/1/lab=[40,2]
