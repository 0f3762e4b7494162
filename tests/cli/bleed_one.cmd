bleed bleed_example.json --set '/lines=[{"name": "1", "painted_mm": 2, "fired_mm": 2.5}]'
