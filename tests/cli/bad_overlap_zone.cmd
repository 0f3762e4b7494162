piece ../piece/v1-cylinder.json --set "/zones/-={\"id\": \"z\", \"from_mm\": 80, \"to_mm\": 95}"
