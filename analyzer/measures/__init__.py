"""From what happened to how long it took: drift, uncertainty, verdicts."""
