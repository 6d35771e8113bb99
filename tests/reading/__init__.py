"""Reading: YAML, schemas, shops and orders, artwork, and how problems are printed."""
