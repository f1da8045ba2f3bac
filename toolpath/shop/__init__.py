"""What stands in the shop: machine, tools and inserts, holders, work holding, materials.

Words used here: the *leading edge* cuts while the tool feeds towards the chuck (right-hand tool), the *trailing
edge* lies behind the nose; the *entering angle* is that of ISO 5608, between leading edge and feed direction, so
an edge of 93 degrees leans 3 degrees away from a square shoulder; the *included angle* lies between the edges; the
*point* of a tool is what the program moves. Tables are data files beside the code, each figure with its source.
"""
