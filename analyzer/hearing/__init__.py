"""From words to a spaCy Doc with everything that was heard in them."""
