bleed bleed_example.json --set /lines/0/fired_mm=1.6 --set /lines/1/fired_mm=1.65 --set /lines/2/fired_mm=2.6 --set /lines/3/fired_mm=2.5 --set /lines/4/fired_mm=3.55
