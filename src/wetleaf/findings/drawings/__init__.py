"""The house's pictures: pure functions from the book's values to plain SVG, the same for file and site.

`svg.py` writes elements, `scales.py` places a value on its axis, `spoken.py` says numbers in words and
`scripts.py` finds names written in Chinese, Japanese or Korean; then one file a picture. Geometry stands in
attributes, appearance in classes of `views.css`: no `style=`, so that a strict content policy holds. Every
picture is legible in black and white. May import the book's values and nothing else of the house.
"""
