colour --set /spectra=@learn_file.csv --set /spectra_scale=parts
