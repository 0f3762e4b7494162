slips --set /slip=3
