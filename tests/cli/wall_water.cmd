wall wall_shared.json --set /coats/0/solids_percent=null --set /coats/0/litre_weight_g=1000
