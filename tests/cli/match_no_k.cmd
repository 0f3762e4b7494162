match match_example.json --set /stains/1/absorption_m2_g=null
