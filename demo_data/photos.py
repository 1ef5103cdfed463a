"""Photos of the invented plant: drawn here, small, and marked as invented in the picture itself."""

from __future__ import annotations

import hashlib
import io
from functools import cache
from typing import Any

from PIL import Image, ImageDraw, ImageFont

SIZE = (640, 480)
WALL, STEEL, DARK, PALE, RED, YELLOW = "#c9c4b8", "#8b9093", "#2c3133", "#eeeae0", "#b3261e", "#f2c230"


@cache
def picture(name: str) -> bytes:
    """The PNG of a photo by its name in scenario.yaml. Raises KeyError for one that nobody drew."""
    image = Image.new("RGB", SIZE, WALL)
    draw = ImageDraw.Draw(image)
    DRAWN[name](draw)
    draw.rectangle((0, 436, 640, 480), fill=DARK)
    draw.text((16, 444), "INVENTED (demo): a drawing, not a photo", font=ImageFont.load_default(24), fill=PALE)
    out = io.BytesIO()
    image.quantize(16, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def body(name: str, step: str) -> dict[str, Any]:
    """What an event says of the photo."""
    content = picture(name)
    return {"step": step, "sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content), "type": "image/png"}


def _lock(draw: ImageDraw.ImageDraw) -> None:
    """A rotary isolator at off with a padlock through its handle and a tag on it."""
    draw.rounded_rectangle((150, 40, 430, 400), 18, fill=PALE, outline=DARK, width=5)
    draw.ellipse((210, 80, 370, 240), fill=YELLOW, outline=DARK, width=5)
    draw.rounded_rectangle((190, 142, 390, 178), 14, fill=RED, outline=DARK, width=4)
    draw.text((200, 250), "OFF", font=ImageFont.load_default(30), fill=DARK)
    draw.arc((330, 150, 400, 260), 180, 360, fill=DARK, width=12)
    draw.rounded_rectangle((318, 204, 412, 290), 8, fill=RED, outline=DARK, width=4)
    draw.text((340, 228), "117", font=ImageFont.load_default(28), fill=PALE)
    draw.line((412, 280, 480, 300), fill=DARK, width=4)
    draw.polygon([(480, 290), (590, 290), (590, 410), (480, 410), (466, 350)], fill=PALE, outline=DARK, width=4)
    draw.text((492, 306), "T-0417", font=ImageFont.load_default(26), fill=DARK)
    draw.text((492, 346), "do not\noperate", font=ImageFont.load_default(22), fill=RED)


def _paint_line(draw: ImageDraw.ImageDraw) -> None:
    """The end of a shaft with its collar, and one paint line over screw, collar and shaft."""
    draw.rectangle((0, 170, 640, 290), fill=STEEL, outline=DARK, width=4)
    draw.rounded_rectangle((220, 70, 420, 390), 12, fill="#a9aeb1", outline=DARK, width=5)
    draw.ellipse((276, 120, 364, 208), fill=DARK)
    draw.regular_polygon((320, 164, 26), 6, fill=STEEL)
    draw.line((150, 262, 520, 262), fill=YELLOW, width=14)
    draw.line((320, 170, 320, 262), fill=YELLOW, width=14)


def _oval_hole(draw: ImageDraw.ImageDraw) -> None:
    """A foot with its bolt hole worn oval, beside a round one."""
    draw.polygon([(40, 150), (600, 150), (620, 360), (20, 360)], fill=STEEL, outline=DARK, width=5)
    draw.rectangle((250, 20, 390, 150), fill="#a9aeb1", outline=DARK, width=5)
    draw.ellipse((100, 225, 180, 290), fill=DARK)
    draw.ellipse((440, 222, 570, 292), fill=DARK)
    draw.arc((430, 212, 580, 302), 0, 360, fill=YELLOW, width=6)
    draw.text((430, 318), "oval", font=ImageFont.load_default(28), fill=DARK)


def _feeler(draw: ImageDraw.ImageDraw) -> None:
    """A feeler blade over the unloaded roller, at the top of the bearing."""
    draw.ellipse((120, 10, 520, 410), fill=STEEL, outline=DARK, width=5)
    draw.ellipse((170, 60, 470, 360), fill=PALE, outline=DARK, width=5)
    draw.ellipse((230, 120, 410, 300), fill=STEEL, outline=DARK, width=5)
    draw.ellipse((270, 160, 370, 260), fill=WALL, outline=DARK, width=5)
    for x, y in ((320, 92), (232, 140), (408, 140), (214, 236), (426, 236), (268, 314), (372, 314)):
        draw.ellipse((x - 28, y - 26, x + 28, y + 26), fill="#a9aeb1", outline=DARK, width=4)
    draw.polygon([(306, 62), (560, 26), (560, 48), (306, 68)], fill=YELLOW, outline=DARK)
    draw.text((470, 60), "0.06 mm", font=ImageFont.load_default(26), fill=DARK)


DRAWN = {"lock": _lock, "paint_line": _paint_line, "oval_hole": _oval_hole, "feeler": _feeler}
