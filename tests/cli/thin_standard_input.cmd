thin - <thin_bom_crlf.json
