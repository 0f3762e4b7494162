piece ../../docs/example-piece.json --set '/slips/1/recipe/lines/0/material=ball cley (invented)'
