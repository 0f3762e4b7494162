slips
