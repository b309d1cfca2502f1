"""Reads a drawing, and fails on anything that a page with a strict policy could not hold."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

# How wide letters are, in parts of the font size: DejaVu Sans (measured from the font), which is wider than what most
# systems call sans-serif. A letter that is not listed counts as the widest.
ADVANCE = {
    letter: wide
    for wide, letters in {
        0.28: "'ijl", 0.32: "IJ ,.", 0.36: "/:;|-f", 0.42: "()[]tr!", 0.53: "*_sz?–", 0.58: "cLFk", 0.62: "vxyPTYoae",
        0.64: "Ehnu0123456789Sbdgpq", 0.7: "KAVXZBRC", 0.78: "UNHDG&", 0.84: "OQw+=±×", 0.87: "M",
    }.items()
    for letter in letters
}  # fmt: skip
BOLD = 1.1

SVG = "{http://www.w3.org/2000/svg}"
DRAWN = {"svg", "title", "desc", "g", "line", "rect", "circle", "path", "text"}
TOLD = {"id", "style", "class", "href"}


def read(text: str) -> ET.Element:
    """Return the drawing's root. No element but plain shapes, no style, script, id, reference or handler."""
    root = ET.fromstring(text)
    assert root.tag == f"{SVG}svg"
    assert (root.get("role"), root.get("fill")) == ("img", "none")
    for element in root.iter():
        assert element.tag.removeprefix(SVG) in DRAWN, element.tag
        for name, value in element.attrib.items():
            assert name not in TOLD and not name.startswith("on"), name
            assert "url(" not in value and ":" not in value, (name, value)
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    assert (left, top) == (0, 0)
    for text_node in root.iter(f"{SVG}text"):
        assert 0 <= float(text_node.attrib["x"]) <= width
        assert 0 < float(text_node.attrib["y"]) <= height
    return root


def span(text: ET.Element) -> tuple[float, float]:
    """Return from where to where a line of text reaches, in its group's units, in a wide font."""
    size = float(text.get("font-size", 13)) * (BOLD if text.get("font-weight") == "bold" else 1)
    x, wide = float(text.attrib["x"]), size * sum(ADVANCE.get(letter, 1.0) for letter in text.text or "")
    left = x - wide * {"start": 0, "middle": 0.5, "end": 1}[text.attrib["text-anchor"]]
    return left, left + wide


def spoken(root: ET.Element) -> tuple[str, str]:
    """Return title and description: the first two elements, where a reader of screens looks for them."""
    title, description = list(root)[:2]
    assert (title.tag, description.tag) == (f"{SVG}title", f"{SVG}desc")
    return title.text or "", description.text or ""


def written(root: ET.Element) -> list[str]:
    """Return the words that stand on the drawing, top to bottom as written."""
    return [node.text or "" for node in root.iter(f"{SVG}text")]


def numbers(path: str) -> list[float]:
    """Return the numbers of a path."""
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path)]
