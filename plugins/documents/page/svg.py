"""Drawings of the page: SVG that takes its colours from the page's style and answers to pointer and keyboard.

A *part* is what can be pointed at. It says to which orders it belongs and what it is; `week.js` does the rest, and
without it a browser shows the same words beside the pointer.
"""

from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement, tostring


def as_html(root: Element) -> str:
    """The element as HTML, every text and attribute escaped."""
    return tostring(root, encoding="unicode", method="html")


def view(about: str, width: float, height: float) -> tuple[Element, Element]:
    """A figure and the drawing in it, `width` by `height` points; `about` says what it shows to who cannot see it."""
    figure = Element("figure", {"class": "view", "role": "group", "aria-label": about})
    scroll = SubElement(figure, "div", {"class": "scroll"})
    box = f"0 0 {number(width)} {number(height)}"
    drawing = SubElement(scroll, "svg", {"viewBox": box, "role": "img", "aria-label": about})
    drawing.set("style", f"--wide:{number(width)}px")
    # Whoever hears the page hears the part's own name.
    SubElement(figure, "p", {"class": "say", "aria-hidden": "true"})
    return figure, drawing


def part(parent: Element, jobs: Iterable[str], about: str, look: str) -> Element:
    """A part of a drawing."""
    group = SubElement(parent, "g", {"class": f"part {look}", "data-jobs": " ".join(jobs)})
    SubElement(group, "title").text = about
    return group


def rect(
    parent: Element, x: float, y: float, width: float, height: float, look: str = "", round_by: float = 0
) -> None:
    """A rectangle by its upper left corner."""
    known = {"x": x, "y": y, "width": width, "height": height, **({"rx": round_by} if round_by else {})}
    SubElement(parent, "rect", {**_look(look), **{name: number(value) for name, value in known.items()}})


def line(parent: Element, x1: float, y1: float, x2: float, y2: float, look: str = "") -> None:
    """A straight stroke."""
    ends = {"x1": x1, "y1": y1, "x2": x2, "y2": y2}
    SubElement(parent, "line", {**_look(look), **{name: number(value) for name, value in ends.items()}})


def words(parent: Element, x: float, y: float, text: str, size: float, look: str = "") -> None:
    """One line of text by its base line; `look` centred puts its middle there."""
    known = {**_look(look), "x": number(x), "y": number(y), "font-size": number(size)}
    SubElement(parent, "text", known).text = text


def number(value: float) -> str:
    """A coordinate as short as a hundredth of a point allows."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _look(look: str) -> dict[str, str]:
    return {"class": look} if look else {}
