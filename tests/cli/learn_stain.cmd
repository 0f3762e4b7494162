learn learn_stain.json --set /at_percent=12
