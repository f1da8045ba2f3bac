"""One scene of layers, and the painters that put it on paper: DXF for CAD, SVG to look at.

A *scene* (`scene.py`) is made once from chains; painters read it. No painter knows a pass and no pass a painter. What
a layer looks like stands in one table (`styles.py`), how the scene lies on the page in one value (`page.py`).
"""
