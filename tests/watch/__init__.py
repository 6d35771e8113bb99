"""The watched folder."""
