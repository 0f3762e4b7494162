learn learn_example.json --set /glaze/dissolving=learn
