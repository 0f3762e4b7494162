learn learn_example.json --set /tiles/2/lab=null
