learn learn_example.json --set /tiles=[]
