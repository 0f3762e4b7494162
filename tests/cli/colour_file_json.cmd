colour --set /spectra=@colour_file_one.txt --json
