thin bad_list.json
