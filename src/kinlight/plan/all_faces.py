"""How the faces of all pictures together lie to the working aperture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.plan.faces import FaceReading
from kinlight.quantities.stops import stops_text


@dataclass(frozen=True)
class AllFaces:
    """The dome at every chin of every picture to be made, from the working aperture.

    `mean_stops` is the mean, `sd_stops` the standard deviation of single faces; `darkest` and
    `brightest` say who that is and in which picture.
    """

    count: int
    mean_stops: float
    sd_stops: float
    darkest: str
    darkest_stops: float
    brightest: str
    brightest_stops: float

    def sentence(self) -> str:
        """Return the same in words."""
        mean = stops_text(self.mean_stops)
        mean += f" {'with' if mean == 'even' else 'from'} the working aperture"
        if self.count == 1:
            return f"The one face: {mean}."
        return (
            f"All {self.count} faces: {mean} on average, from {stops_text(self.darkest_stops)} "
            f"({self.darkest}) to {stops_text(self.brightest_stops)} ({self.brightest})."
        )


def all_faces(pictures: Mapping[str, Sequence[FaceReading]]) -> AllFaces:
    """Return the summary of all faces of some pictures, by their names; of one face or more."""
    found = [
        (face.from_aperture_stops, f"{face.person} in {name}")
        for name, faces in pictures.items()
        for face in faces
    ]
    offs = np.array([off for off, _ in found])
    low, high = found[int(offs.argmin())], found[int(offs.argmax())]
    return AllFaces(
        count=len(found),
        mean_stops=float(offs.mean()),
        sd_stops=float(offs.std()),
        darkest=low[1],
        darkest_stops=low[0],
        brightest=high[1],
        brightest_stops=high[0],
    )
