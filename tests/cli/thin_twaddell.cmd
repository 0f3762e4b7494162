thin --set /twaddell=80
