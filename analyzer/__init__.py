"""Reviews a recorded exercise class from its caption file: see ``review.review``."""
