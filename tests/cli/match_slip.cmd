match match_example.json --set /target/lab=null --set /target/slip/absorption_m2_g=0.006 --set /target/slip/scattering_m2_g=0.019
