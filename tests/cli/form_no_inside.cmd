form form_no_inside.json
