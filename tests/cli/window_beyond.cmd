window window_example.json --set /best=null --set /target/lab=[60,60,0]
