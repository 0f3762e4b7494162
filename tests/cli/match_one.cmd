match match_example.json --set /most_stains=1 --set /choices=5 --set /over=null
