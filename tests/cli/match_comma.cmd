match match_example.json --set /coat_g_m2=87,5 --set /dry_g=500 --set /stains/0/stock_g=10
