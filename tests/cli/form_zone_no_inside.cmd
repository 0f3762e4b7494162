form form_no_inside.json --set '/zones=[{"face": "inside", "from_mm": 1, "to_mm": 9}]'
