help thinn
