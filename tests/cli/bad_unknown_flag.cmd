thin --jsno
