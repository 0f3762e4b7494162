bleed bleed_example.json --set /slip=@bleed_example.json --set /lines=none
