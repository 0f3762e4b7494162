window window_example.json --set /best=null --set /target/lab=[34,19,-43]
