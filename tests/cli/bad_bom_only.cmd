thin bad_bom_only.json
