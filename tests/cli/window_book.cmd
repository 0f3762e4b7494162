window window_book.json
