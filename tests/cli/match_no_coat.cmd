match match_example.json --set /base/coat_g_m2=null
