serve --port 99999
