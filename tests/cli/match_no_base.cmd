match match_example.json --set /base=null
