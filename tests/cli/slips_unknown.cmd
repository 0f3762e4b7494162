slips --set /slip='"cobalt blu"'
