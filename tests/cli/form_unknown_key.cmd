form form_example.json --set /insides=1
