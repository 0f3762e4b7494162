picture picture_small.json
