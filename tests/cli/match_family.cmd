match match_example.json --set /stains/0/stain_family="praseodymium-zircon yellow" --set /stains/1/stain_family="cobalt blue" --set /peak_c=1320 --set /atmosphere=reduction --set /choices=1
