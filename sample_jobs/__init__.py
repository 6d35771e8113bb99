"""A small invented shop that works out of the box; `peelwright new-shop` makes a copy of it to edit."""
