"""The languages of papers."""
