"""The English move lexicon: one TOML file a family, and ``_grammar.toml`` for how names are said."""
