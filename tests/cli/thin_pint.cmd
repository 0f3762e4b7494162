thin --set /oz_per_pint_uk=28
