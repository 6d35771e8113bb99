"""Properties of the whole: what must hold of every week, whatever is in it."""
