piece ../piece/v1-cylinder.json --set "/form/outside/-={\"diameter_mm\": 100, \"height_mm\": 50}"
