substitute substitute_slip.json --set /without/-='blue stain (invented)' --set /choices=1
