bleed bleed_example.json --set /lines/2/fired_mm=4.6
