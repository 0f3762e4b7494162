learn learn_oxide.json --set /at_percent=2,5
