"""Drawings as SVG text: where to put the caliper, how an end will sit, what the evidence says.

A drawing stands by itself as a file and inside a page: it names nothing outside itself, holds no script, no style and
no id, draws in the colour of the text around it, and carries its title and its text equivalent. Parts differ by
hatching and by words, never by colour.
"""
