thin --set /litre_wieght_g=1500
