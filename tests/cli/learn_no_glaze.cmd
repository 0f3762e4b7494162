learn learn_example.json --set /glaze=null
