thin --set /weighed_g=150
