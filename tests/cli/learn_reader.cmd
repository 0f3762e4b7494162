learn learn_example.json --set /tiles_read_by=null
