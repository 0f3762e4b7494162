thin --set /litre_weight_g=1500 --set /twaddell=80
