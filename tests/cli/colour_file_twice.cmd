colour --set /spectra=@learn_file_lab.txt --set /hex=\"#aa5500\"
