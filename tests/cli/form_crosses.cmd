form form_crosses.json
