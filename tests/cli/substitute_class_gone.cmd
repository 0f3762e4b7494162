substitute substitute_slip.json --set /stock/0=kaolin --set /stock/1=quartz --set /choices=1
