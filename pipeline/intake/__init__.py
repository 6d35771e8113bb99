"""Orders out of a table: `peelwright intake`. A table and a map of its columns -> job files.

`table` reads cells and knows where each stands, `column_map` says which column holds what, `orders` puts rows
together, `write` makes the files. Nothing is guessed: what a row lacks, or says twice, is told at its cell.
"""

from pipeline.intake.take import Intaken, intake

__all__ = ["Intaken", "intake"]
