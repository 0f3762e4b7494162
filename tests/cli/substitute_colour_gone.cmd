substitute substitute_slip.json --set /without/-='red iron oxide' --set /stock/-='black iron oxide' --set /choices=1
