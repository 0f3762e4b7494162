colour colour_example.json --set /srgb/1=NaN
