substitute substitute_example.json --set /most_materials=2 --set /limits='[{"material": "quartz", "must": true}, {"material": "whiting", "must": true}, {"material": "kaolin", "must": true}]'
