learn learn_stain.json --set /stain/kind=melting
