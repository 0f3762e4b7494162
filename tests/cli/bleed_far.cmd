bleed bleed_example.json --set /lines/0/fired_mm=25 --set /lines/1/fired_mm=25
