"""One folder a language; all that is data about a language is in its folder."""
