"""The gallery of refused jobs: a folder for each trouble, with exactly what is printed about it."""
