learn learn_file.json --set /spectra=@learn_file.csv
