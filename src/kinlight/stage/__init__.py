"""One picture as physics sees it: figures, the camera's view, lamps and receivers in the room."""
