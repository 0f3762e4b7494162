wall wall_shared.json --set /coats/0/solids_percent=null
