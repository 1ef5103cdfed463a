"""Draw the app's icons from the window sign: `python tests/web/icons.py` writes web/icons/*.png."""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

ICONS = Path(__file__).resolve().parents[2] / "web" / "icons"


def draw(size: int, *, maskable: bool) -> Image.Image:
    """The sign on its ground, drawn four times larger and brought down for clean edges."""
    big = size * 4
    image = Image.new("RGBA", (big, big), (0, 0, 0, 0))
    pen = ImageDraw.Draw(image)
    unit = big / 512
    ground, post, lozenge = "#0e5b53", "#fcf9f2", "#6fd3c1"
    pen.rounded_rectangle((0, 0, big, big), 0 if maskable else 112 * unit, fill=ground)
    # A maskable icon keeps its sign inside the middle four fifths.
    scale = 0.78 if maskable else 1.0

    def at(value: float) -> float:
        return (256 + (value - 256) * scale) * unit

    half = 22 * scale * unit
    for outer, inner in ((120.0, 188.0), (392.0, 324.0)):
        left, right = sorted((at(outer), at(inner)))
        pen.rectangle((at(outer) - half, at(128) - half, at(outer) + half, at(384) + half), fill=post)
        for y in (128.0, 384.0):
            pen.rectangle((left - (half if outer < inner else 0), at(y) - half, right + (half if outer > inner else 0), at(y) + half), fill=post)
    pen.polygon([(at(256), at(168)), (at(344), at(256)), (at(256), at(344)), (at(168), at(256))], fill=lozenge)
    return image.resize((size, size), Image.Resampling.LANCZOS)


if __name__ == "__main__":
    for name, size, maskable in (("sign-192", 192, False), ("sign-512", 512, False), ("sign-maskable-512", 512, True)):
        draw(size, maskable=maskable).quantize(64, method=Image.Quantize.FASTOCTREE).save(ICONS / f"{name}.png", optimize=True)
