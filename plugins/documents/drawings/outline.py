"""What an outline consists of, and the ways to make its paths from fewer: mirrored, seen from the other side."""

from collections.abc import Mapping

from attrs import field, frozen


@frozen(kw_only=True)
class Anchor:
    """A place to measure from. `up` = placements go upwards from it; `x` is 50 on the centre line.

    An anchor off the centre line stands on the viewer's right and has a twin on the left.
    """

    y: float
    x: float = 50
    up: bool = False


@frozen(kw_only=True)
class OutlineView:
    """One side: the filled shapes, the seams, the stitching, and the anchors by name.

    `unit` is how many micrometres of cloth one unit of the grid is.
    """

    unit: int
    shapes: tuple[str, ...]
    seams: tuple[str, ...] = ()
    stitches: tuple[str, ...] = ()
    dots: tuple[tuple[float, float], ...] = ()
    anchors: Mapping[str, Anchor] = field(factory=dict)

    @property
    def extent(self) -> tuple[float, float]:
        """The lowest and the highest point of the shapes (a curve's control points count)."""
        numbers = [step for shape in self.shapes for step in shape.split() if step not in "MLCZ"]
        heights = [float(number) for number in numbers[1::2]]
        return min(heights), max(heights)


def mirrored(path: str) -> str:
    """The same path on the other side of the centre line."""
    steps = path.split()
    out = []
    is_x = True
    for step in steps:
        if step in "MLCZ":
            out.append(step)
            is_x = True
        else:
            out.append(f"{100 - float(step):g}" if is_x else step)
            is_x = not is_x
    return " ".join(out)


def both(*paths: str) -> tuple[str, ...]:
    """Each path and its mirror image."""
    return tuple(side for path in paths for side in (path, mirrored(path)))


def flipped(view: OutlineView) -> OutlineView:
    """The same view seen from the other side."""
    return OutlineView(
        unit=view.unit,
        shapes=tuple(map(mirrored, view.shapes)),
        seams=tuple(map(mirrored, view.seams)),
        stitches=tuple(map(mirrored, view.stitches)),
        dots=tuple((100 - x, y) for x, y in view.dots),
        anchors=view.anchors,
    )


def sides(front: OutlineView, back: OutlineView, left: OutlineView) -> Mapping[str, OutlineView]:
    """The four views by name; the wearer's right side is the left one turned over."""
    return {"front": front, "back": back, "left": left, "right": flipped(left)}


def reversed_half(path: str) -> str:
    """The mirror image of an open path of L and C steps, walked backwards, to be joined to its end."""
    numbers: list[tuple[float, float]] = []
    letters: list[str] = []
    steps = path.split()
    at = 0
    while at < len(steps):
        letter = steps[at]
        count = {"M": 1, "L": 1, "C": 3}[letter]
        values = [float(step) for step in steps[at + 1 : at + 1 + 2 * count]]
        numbers += zip(values[::2], values[1::2], strict=True)
        letters.append(letter)
        at += 1 + 2 * count
    back = [(100 - x, y) for x, y in reversed(numbers)]
    out = []
    at = 1
    for letter in reversed(letters[1:]):
        count = {"L": 1, "C": 3}[letter]
        out.append(letter + "".join(f" {x:g} {y:g}" for x, y in back[at : at + count]))
        at += count
    return " ".join(out)
