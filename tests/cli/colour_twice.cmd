colour colour_example.json --set /hex=#ffffff
