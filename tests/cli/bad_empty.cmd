thin /dev/null
