"""Reads a shop's chart as it is: any of the usual encodings, separators and headings, nothing guessed.

``text`` (bytes to lines), ``table`` (lines to cells), ``headings`` (what each column holds), ``years`` and ``cells``
(what stands in a cell), ``rows`` (what a row says).
"""
