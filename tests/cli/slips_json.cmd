slips --json --set /slip='"red"'
