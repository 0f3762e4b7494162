colour --set /spectra=@learn_file_quote.txt
