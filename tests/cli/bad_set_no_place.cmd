thin --set litre_weight_g=1600
