materials --set /tabel=x
