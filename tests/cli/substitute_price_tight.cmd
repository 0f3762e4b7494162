substitute substitute_price.json --set /stock/1=quartz --set /tolerance=0,0001
