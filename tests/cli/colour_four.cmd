colour colour_example.json --set /srgb=[0.1,0.2,0.3,0.4]
