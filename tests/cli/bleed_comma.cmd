bleed bleed_example.json --set /shrinkage_percent=6,5 --set "/lines/0/fired_mm=2,45"
