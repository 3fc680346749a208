"""Training of the tagger; needs the ``train`` extra. Nothing here is imported at run time."""
