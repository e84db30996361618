"""Points, directions and shapes in the studio.

Axes: the origin is the mark (a cross of tape on the floor where the group centres); x runs to
the camera's right, y from the camera toward the backdrop, z up. The camera stands at y < 0.
Lengths are metres throughout.
"""
