window window_example.json --set /best=null --set /target/lab=[35,12]
