form form_whole.json
