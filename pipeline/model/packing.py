"""Cartons: what goes into which."""

from functools import cached_property

from attrs import frozen

from pipeline.model.index import grouped


@frozen(kw_only=True)
class PackedPieces:
    """So many pieces of one size of one order line in one carton. `line` counts from 0."""

    line: int
    size: str
    count: int


@frozen(kw_only=True)
class Carton:
    """One carton of an order; `number` counts from 1 within the order. Weight in grams, carton included."""

    job: str
    number: int
    contents: tuple[PackedPieces, ...]
    weight: int

    @property
    def pieces(self) -> int:
        """Pieces in the carton."""
        return sum(item.count for item in self.contents)


@frozen(kw_only=True)
class PackingPlan:
    """All cartons of the batch, by order and number."""

    cartons: tuple[Carton, ...]

    def of(self, job: str) -> tuple[Carton, ...]:
        """The cartons of one order."""
        return tuple(self._by_job.get(job, ()))

    @cached_property
    def _by_job(self) -> dict[str, list[Carton]]:
        return grouped(self.cartons, lambda carton: carton.job)
