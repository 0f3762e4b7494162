shade shade_no_stack.json
