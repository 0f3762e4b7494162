match match_example.json --set /stains/0/most_percent=0 --set /stains/1/most_percent=0 --set /stains/2/most_percent=0
