substitute substitute_example.json --set /without/0='potash felspar'
