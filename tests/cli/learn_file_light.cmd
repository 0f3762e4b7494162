learn learn_file.json --set /spectra=@learn_file_lab.txt --set /spectra_light=D65
