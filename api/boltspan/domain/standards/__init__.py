"""Published tables as Python tuples, one module a standard.

Each row or table says where it was seen and how sure it is. Tables are loaded, formulas only check them:
a rounded standard value often differs from what its formula gives.
"""
