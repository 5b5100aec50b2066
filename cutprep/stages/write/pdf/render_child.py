"""Artwork to dots in a process of its own: SVG on standard input, red, green and blue of each dot on output.

It stands alone (it imports nothing of cutprep) and is run as a file, because a drawing may ask its renderer for more
time or memory than there is, and a process can be ended.
"""

from __future__ import annotations

import io
import sys

import resvg_py
from PIL import Image

#: A drawing within cutprep's own limit on dots is no attack.
Image.MAX_IMAGE_PIXELS = None


def main() -> None:
    """Render what stands on standard input; the size in dots stands in the SVG itself."""
    text = sys.stdin.buffer.read().decode("utf-8")
    png = bytes(resvg_py.svg_to_bytes(svg_string=text, background="white"))
    with Image.open(io.BytesIO(png)) as picture:
        sys.stdout.buffer.write(picture.convert("RGB").tobytes())


if __name__ == "__main__":
    main()
