coverage ../piece/v1-cylinder.json --set "/ask=[]"
