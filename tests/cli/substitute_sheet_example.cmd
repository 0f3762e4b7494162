substitute_sheet substitute_example.json --out $SCRATCH/page.pdf
