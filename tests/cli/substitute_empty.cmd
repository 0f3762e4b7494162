substitute substitute_example.json --set /stock=[]
