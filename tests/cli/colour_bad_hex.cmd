colour colour_hex.json --set /hex=#12345
