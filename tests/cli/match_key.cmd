match match_example.json --set /stain=3
