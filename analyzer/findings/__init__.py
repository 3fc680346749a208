"""The class standard applied: what to fix, what to know, and what to say next time."""
