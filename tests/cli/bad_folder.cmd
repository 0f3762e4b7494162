piece .
