window window_example.json
