overlaps overlaps_violet.json --set /painting/0/mark/kind="banding line" --set /painting/0/mark/whole_zone=null --set /painting/0/mark/width_mm=2
