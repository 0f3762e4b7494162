substitute_sheet substitute_slip.json --set /choice=9 --out $SCRATCH/page.pdf
