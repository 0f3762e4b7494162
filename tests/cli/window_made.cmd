window window_made.json
