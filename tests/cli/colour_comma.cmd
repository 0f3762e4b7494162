colour colour_example.json --set /srgb/0=0,54
