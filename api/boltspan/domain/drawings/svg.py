"""SVG text from nested nodes; the one place where text is escaped."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import Final

Coordinate = float
"""A place on the drawing, in user units. Only this package has lengths as floats, and only to draw them."""

NAMESPACE: Final = "http://www.w3.org/2000/svg"
FONT: Final = "system-ui, sans-serif"
_CONTROLS_ALLOWED: Final = "\t\n\r"
_OUTSIDE_XML: Final = "\ufffe\uffff"


@dataclass(frozen=True, slots=True)
class Node:
    """One element: its name, its attributes as they will be written, and what is in it."""

    name: str
    attributes: tuple[tuple[str, str], ...]
    children: tuple[Node | str, ...]

    def write(self) -> str:
        """Return the element as XML."""
        attributes = "".join(f' {name}="{escape(_legal(value))}"' for name, value in self.attributes)
        if not self.children:
            return f"<{self.name}{attributes}/>"
        inner = "".join(c.write() if isinstance(c, Node) else escape(_legal(c), quote=False) for c in self.children)
        return f"<{self.name}{attributes}>{inner}</{self.name}>"


def node(name: str, *children: Node | str, **attributes: str | Coordinate) -> Node:
    """Return an element. ``stroke_width=2`` is written ``stroke-width="2"``; a last underscore is dropped."""
    written = tuple((key.rstrip("_").replace("_", "-"), _value(value)) for key, value in attributes.items())
    return Node(name, written, children)


def group(*children: Node, **attributes: str | Coordinate) -> Node:
    """Return ``children`` under the attributes they share."""
    return node("g", *children, **attributes)


def drawing(
    width: Coordinate,
    height: Coordinate,
    title: str,
    description: str,
    *children: Node,
    size: tuple[str, str] | None = None,
) -> str:
    """Return a whole drawing as SVG text: lines and text in the colour of the page, named and described.

    ``title`` says what is to be seen, ``description`` all that the drawing tells, for whoever does not see it. Without
    ``size`` (width and height with their units) the drawing is as large as the page makes it.
    """
    sized = {} if size is None else {"width": size[0], "height": size[1]}
    root = node(
        "svg",
        node("title", title),
        node("desc", description),
        *children,
        xmlns=NAMESPACE,
        **sized,
        viewBox=f"0 0 {number(width)} {number(height)}",
        role="img",
        fill="none",
        stroke="currentColor",
        stroke_width=1.5,
        stroke_linejoin="round",
        font_family=FONT,
        font_size=13,
    )
    return root.write()


def number(value: Coordinate) -> str:
    """Return a coordinate to hundredths, without trailing zeros: 3, 3.5, 0.13; never -0."""
    written = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def _value(value: str | Coordinate) -> str:
    return value if isinstance(value, str) else number(value)


def _legal(text: str) -> str:
    """Return ``text`` with what XML 1.0 cannot hold (section 2.2, "Char") replaced by U+FFFD."""
    return "".join("\ufffd" if _forbidden(sign) else sign for sign in text)


def _forbidden(sign: str) -> bool:
    return (sign < " " and sign not in _CONTROLS_ALLOWED) or "\ud800" <= sign <= "\udfff" or sign in _OUTSIDE_XML
