form form_one_point.json
