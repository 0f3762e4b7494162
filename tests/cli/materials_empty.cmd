materials --set '/table=""'
