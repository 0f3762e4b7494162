substitute substitute_cone.json --set /batch_g=1000 --set /materials='[{"name": "kaolin", "stock_g": 50}]'
