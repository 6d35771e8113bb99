"""Orders out of tables."""
