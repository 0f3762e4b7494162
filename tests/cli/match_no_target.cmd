match match_example.json --set /target/lab=null
