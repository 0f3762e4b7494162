mix mix_dry.json --set /litre_weight_g=1000
