formula formula_example.json --set "/materials=[{\"name\": \"quartz\", \"analysis\": {\"SiO2\": 50, \"LOI\": 101}}]"
