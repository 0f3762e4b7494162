coverage --set /piece/id=tide-line
