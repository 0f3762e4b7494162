learn learn_file.json --set /spectra=@learn_file.txt --set /spectra_scale=percent
