colour --set /spectra=@learn_file_lab.txt
