"""Lines, arcs, chains and envelopes in a plane. Knows no lathe and no file.

Words used here: an *element* is a line or an arc; a *chain* is a tuple of elements, each starting where the one
before it ends; an *outline* is a chain that ends where it starts. Counter-clockwise is positive, with the first
coordinate to the right and the second up.
"""
