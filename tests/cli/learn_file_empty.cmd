learn learn_file.json --set /spectra=
