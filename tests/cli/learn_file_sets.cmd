learn learn_file.json --set /spectra=@learn_file_sets.txt
