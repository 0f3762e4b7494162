wall wall_shared.json --set /coats=[]
