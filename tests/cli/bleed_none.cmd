bleed bleed_example.json --set /lines/0/fired_mm=1.9 --set /lines/1/fired_mm=1.86 --set /lines/2/fired_mm=2.84 --set /lines/3/fired_mm=2.82 --set /lines/4/fired_mm=3.77
