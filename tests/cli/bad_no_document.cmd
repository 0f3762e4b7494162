thin
