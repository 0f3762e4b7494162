piece --set /piece/id=tide-line --set /pots=2
