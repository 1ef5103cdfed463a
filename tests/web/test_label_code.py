"""The short code of a label in both languages, every slip of the hand found, and a generated label read by the phone's own reader."""

from __future__ import annotations

import base64
import json
import random
import re
import subprocess
import uuid
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw, ImageFilter

from shaftside.pages.labels import address, drawing
from shaftside.records.label_code import ALPHABET, label_code

HERE = Path(__file__).parent
pytestmark = pytest.mark.node


def ask(script: str, what: Any) -> Any:
    done = subprocess.run(
        ["node", "--import", "./register.mjs", script], input=json.dumps(what), capture_output=True, text=True, cwd=HERE, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_both_languages_make_the_same_code_and_find_every_slip() -> None:
    rng = random.Random(4)
    ids = [str(uuid.UUID(int=rng.getrandbits(128))) for _ in range(300)] + ["0" * 8 + "-0000-0000-0000-" + "f" * 12]
    codes = [label_code(one) for one in ids]
    bare = codes[0].replace("-", "")
    wrong = [bare[:at] + letter + bare[at + 1 :] for at in range(8) for letter in ALPHABET if letter != bare[at]]
    for code in codes[:40]:
        text = code.replace("-", "")
        wrong += [
            text[:at] + text[at + 1] + text[at] + text[at + 2 :] for at in range(7) if text[at] != text[at + 1]
        ]
    right = [codes[0].lower(), f" {bare[:3]} {bare[3:]} ", *codes]
    said = ask("label_twin.mjs", {"ids": ids, "typed": [*right, *wrong, "", "12", bare + "A", "ÄÖÜ-1234"], "texts": []})
    assert said["codes"] == codes
    assert said["read"][: len(right)] == [codes[0], codes[0], *codes]
    assert set(said["read"][len(right) :]) == {None}


def test_a_label_names_a_position_and_never_sends_the_phone_elsewhere() -> None:
    place = str(uuid.uuid4())
    texts = [
        address("https://plant.example:8420/", place), address("http://10.0.0.7", place),
        f"https://plant.example/phone/#/position/{place}/x", f"javascript:/phone/#/position/{place}", place, f"https://x/#/phone/#/position/{place}", "https://plant.example/phone/#/settings",
    ]  # fmt: skip
    assert ask("label_twin.mjs", {"ids": [], "typed": [], "texts": texts})["found"] == [place, place, *[None] * 5]


def picture(svg: str, turned: float) -> Image.Image:
    """The label's SVG as a camera sees it: its path drawn, turned, a little out of focus. The path has only M, m, h."""
    side = int(re.search(r'viewBox="0 0 (\d+)', svg)[1])  # type: ignore[index]
    scale = 8
    image = Image.new("L", (side * scale, side * scale), 255)
    pen = ImageDraw.Draw(image)
    path = re.search(r'd="(M4 4\.5[^"]*)"', svg)
    assert path, svg[:300]
    x = y = 0.0
    for kind, numbers in re.findall(r"([Mmh])([-\d. ]+)", path[1]):
        values = [float(one) for one in numbers.split()]
        if kind == "h":
            pen.rectangle([x * scale, (y - 0.5) * scale, (x + values[0]) * scale - 1, (y + 0.5) * scale - 1], fill=0)
            x += values[0]
        elif kind == "M":
            x, y = values
        else:
            x, y = x + values[0], y + values[1]
    framed = Image.new("L", (640, 480), 170)
    framed.paste(image.resize((300, 300)), (170, 90))
    return framed.rotate(turned, fillcolor=170).filter(ImageFilter.GaussianBlur(1)).convert("RGBA")


@pytest.mark.parametrize("turned", [0, 17, 180])
def test_a_generated_label_is_read(turned: float) -> None:
    text = address("https://shaftside.plant.example:8420", "01a216b1-429a-753c-a8a2-8a2980927936")
    seen = picture(str(drawing(text)), turned)
    said = ask("label_read.mjs", {"width": seen.width, "height": seen.height, "data": base64.b64encode(seen.tobytes()).decode()})
    assert said == text
    blank = Image.new("RGBA", (320, 240), (170, 170, 170, 255))
    assert ask("label_read.mjs", {"width": 320, "height": 240, "data": base64.b64encode(blank.tobytes()).decode()}) is None
