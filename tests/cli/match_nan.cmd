match match_example.json --set /stains/1/scattering_m2_g=NaN
