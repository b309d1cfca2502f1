"""Reads a drawing, and fails on anything that a page with a strict policy could not hold."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

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
