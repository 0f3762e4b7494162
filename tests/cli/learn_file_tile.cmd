learn learn_file.json --set /spectra=@learn_file.csv --set /tiles/1/name=B9
