learn learn_file.json --set /spectra=@learn_file.txt --set /geometry=d8_in
