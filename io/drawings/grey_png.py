"""A grey PNG: a picture of few greys as a small file."""

from __future__ import annotations

import io

from PIL import Image

GREYS = 16
"""Even steps from black to white: four bits a pixel, and no palette to look for."""


def grey_png(picture: Image.Image) -> bytes:
    """Return a grey picture (mode "L") as a PNG in sixteen greys."""
    step = 255 // (GREYS - 1)
    levels = picture.point([round(value / step) for value in range(256)])
    indexed = Image.frombytes("P", picture.size, levels.tobytes())
    indexed.putpalette([step * level for level in range(GREYS) for _ in "rgb"])
    file = io.BytesIO()
    indexed.save(file, "PNG", bits=4)
    return file.getvalue()
