match match_example.json --set /stains=[]
