shade shade_many.json
