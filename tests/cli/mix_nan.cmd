mix mix_dry.json --set /dry_g=nan
