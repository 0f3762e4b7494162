substitute_sheet substitute_slip.json --json --set /paper=letter --set /choice=2 --out $SCRATCH/page.pdf
