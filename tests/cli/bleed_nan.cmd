bleed bleed_example.json --set /shrinkage_percent=nan
