window window_example.json --json
