colour --set /spectra=@colour_file_sphere.txt --set /spectra_light=D65
