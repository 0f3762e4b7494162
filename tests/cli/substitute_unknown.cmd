substitute substitute_example.json --set /stock/2=whitin
