"""Drawings for the papers, as reportlab shapes: the same object becomes PDF and SVG."""
