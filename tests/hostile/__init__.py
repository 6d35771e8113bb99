"""Files that are wrong: on purpose, by a slip, by chance."""
