difference difference_example.json --set /lab2/0=143
