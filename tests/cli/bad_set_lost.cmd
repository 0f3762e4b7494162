thin --set
