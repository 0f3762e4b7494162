mix mix_no_recipe.json
