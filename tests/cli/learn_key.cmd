learn learn_example.json --set /tiles/1/coat=3
