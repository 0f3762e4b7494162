learn learn_example.json 
