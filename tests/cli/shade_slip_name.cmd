shade shade_two.json --set /stack_top_first/0/slip=mauve
