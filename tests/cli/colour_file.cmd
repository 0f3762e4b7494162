colour --set /spectra=@learn_file.csv
