match match_example.json --set /stains/0/stain_family="cobalt bleu"
