thin -x
