learn learn_example.json --set /tiles/2/ground=white
