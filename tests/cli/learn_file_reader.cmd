learn learn_file.json --set /spectra=@learn_file.csv --set /tiles_read_by=photograph
