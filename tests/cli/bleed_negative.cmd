bleed bleed_example.json --set /lines/0/fired_mm=-2
