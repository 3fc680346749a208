"""From what was heard to what was promised and what happened."""
