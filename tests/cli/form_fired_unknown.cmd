form form_no_inside.json --set /measured=fired
