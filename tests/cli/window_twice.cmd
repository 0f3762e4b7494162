window window_example.json --set /target/lab=[35,12,-35]
