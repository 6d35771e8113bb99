"""Things that other files call by name."""

from typing import Protocol, TypeVar


class Named(Protocol):
    """Anything that has a name."""

    @property
    def name(self) -> str:
        """The name by which other files call it."""


N = TypeVar("N", bound=Named)


def by_name(things: tuple[N, ...]) -> dict[str, N]:
    """The things by their names; of two of one name, the later."""
    return {thing.name: thing for thing in things}
