thn
