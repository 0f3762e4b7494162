match match_example.json --set /target/slip/absorption_m2_g=0.006
