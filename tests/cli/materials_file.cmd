materials --set /table=@materials_quarry.csv --set /leave_out/0=mesh
