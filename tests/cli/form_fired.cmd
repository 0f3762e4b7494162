form form_example.json --set /measured=fired --json
