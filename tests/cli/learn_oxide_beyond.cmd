learn learn_oxide.json --set /at_percent=6
