match match_example.json --set /target/lab=[50,60,40] --set /choices=1
