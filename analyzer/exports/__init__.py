"""The review as files for other programs; one module a kind of file, each only reads a Review."""
