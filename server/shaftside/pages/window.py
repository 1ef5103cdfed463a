"""The window sign as server-side SVG: two bracket posts are the limits, a lozenge the reading, hatch is never.

Pure geometry in drawing units; colour comes from the style sheet by class, so that the same
drawing serves light, dark and paper. The drawing is decorative: the words beside it say the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup, escape

LEFT, RIGHT = 24.0, 336.0
WINDOW_SHARE = 0.46
ONE_SIDED_SHARE = 0.66

SIGNS = ("inside", "caution", "not_yet", "under", "over", "cannot_tell", "stop", "refused", "none", "open")


@dataclass(frozen=True)
class Place:
    """Where the parts of a lying window stand, in 0..360. beyond: the reading is off the drawing."""

    low: float | None
    high: float | None
    value: float | None
    beyond: str | None
    never: tuple[tuple[float, float], ...]
    blur: float


def lay(
    low: float | None,
    high: float | None,
    value: float | None,
    never_below: float | None = None,
    never_above: float | None = None,
    resolution: float | None = None,
) -> Place:
    """Place limits and reading; all arguments in one unit. A one-sided window has one post."""
    ends = [end for end in (low, high) if end is not None]
    if not ends:
        return Place(None, None, None, None, (), 0.0)
    span = RIGHT - LEFT
    least, most = min(ends), max(ends)
    width = most - least if most > least else max(abs(most), 1e-12) * 0.3
    if len(ends) == 1 and value is not None:  # a reading on the good side of its one limit stays on the drawing
        room = most - value if low is None else value - least
        width = max(width, room * WINDOW_SHARE / ONE_SIDED_SHARE)
    scale = span * WINDOW_SHARE / width
    origin = least - span * (1 - WINDOW_SHARE) / 2 / scale
    if low is None:
        origin = most - span * 0.7 / scale
    elif high is None:
        origin = least - span * 0.3 / scale

    def at(x: float) -> float:
        return LEFT + (x - origin) * scale

    def held(x: float) -> float:
        return min(RIGHT, max(LEFT, x))

    never: list[tuple[float, float]] = []
    if never_below is not None and at(never_below) > LEFT:
        never.append((LEFT, held(at(never_below))))
    if never_above is not None and at(never_above) < RIGHT:
        never.append((held(at(never_above)), RIGHT))
    x = None if value is None else at(value)
    beyond = None if x is None else "left" if x < LEFT else "right" if x > RIGHT else None
    blur = min(resolution * scale / 2, span / 2) if resolution and value is not None else 0.0
    return Place(
        None if low is None else at(low),
        None if high is None else at(high),
        None if x is None else held(x),
        beyond,
        tuple(never),
        blur,
    )


def spread(labels: list[tuple[float, float]], least: float, most: float) -> list[float]:
    """Move labels, given as (centre, width), apart along a line, keeping their order."""
    order = sorted(range(len(labels)), key=lambda i: labels[i][0])
    places = [at for at, _ in labels]
    edge = least
    for i in order:
        places[i] = max(places[i], edge + labels[i][1] / 2)
        edge = places[i] + labels[i][1] / 2
    edge = most
    for i in reversed(order):
        places[i] = min(places[i], edge - labels[i][1] / 2)
        edge = places[i] - labels[i][1] / 2
    return places


def _n(x: float) -> str:
    return f"{x:.1f}".rstrip("0").rstrip(".")


def _post(x: float, into: float, top: float, foot: float) -> str:
    return f"M{_n(x + into)} {_n(top)}H{_n(x)}V{_n(foot)}H{_n(x + into)}"


def _lozenge(x: float, y: float, r: float) -> str:
    return f"M{_n(x)} {_n(y - r)}L{_n(x + r)} {_n(y)}L{_n(x)} {_n(y + r)}L{_n(x - r)} {_n(y)}Z"


def hatch(x0: float, x1: float, y0: float, y1: float, pitch: float = 7.0) -> str:
    """Slanted strokes as one path: no pattern id that could clash between drawings on a page."""
    height = y1 - y0
    path = []
    x = x0 - height + pitch / 2
    while x < x1:
        start, end = max(x, x0), min(x + height, x1)
        if end > start:
            path.append(f"M{_n(start)} {_n(y1 - (start - x))}L{_n(end)} {_n(y1 - (end - x))}")
        x += pitch
    return "".join(path)


def sign(verdict: str) -> Markup:
    """The sign alone as the verdict's icon; an unknown verdict is drawn as an empty window."""
    inner = {
        "inside": f'<path class="sign-reading" d="{_lozenge(30, 24, 9)}"/>',
        "caution": f'<path class="sign-hollow" d="{_lozenge(30, 24, 8)}"/>',
        "not_yet": '<path class="sign-reading" d="M1 24L10 15V33Z"/>',
        "under": f'<path class="sign-reading" d="{_lozenge(6, 24, 6)}"/>',
        "over": f'<path class="sign-reading" d="{_lozenge(54, 24, 6)}"/>',
        "cannot_tell": '<path class="sign-hollow" d="M3 24L30 11L57 24L30 37Z"/>',
        "stop": f'<path class="sign-hatch" d="{hatch(17, 43, 10, 38, 8)}"/>',
        "refused": '<path class="sign-hollow" d="M22 16L38 32M38 16L22 32"/>',
    }.get(verdict, "")
    kind = verdict if verdict in SIGNS else "none"
    posts = _post(14, 7, 8, 40) + _post(46, -7, 8, 40)
    return Markup(
        f'<svg class="sign is-{kind}" viewBox="0 0 60 48" width="60" height="48" aria-hidden="true" '
        f'focusable="false"><path class="sign-post" d="{posts}"/>{inner}</svg>'
    )


def gauge(window: dict[str, float | None], shown: dict[str, str], verdict: str) -> Markup:
    """A reading on its window, lying.

    window: low, high, value, never_below, never_above, resolution in one unit (any may be missing).
    shown: low, high, value as text. Without any limit there is nothing to draw: empty markup.
    """
    place = lay(
        window.get("low"),
        window.get("high"),
        window.get("value"),
        window.get("never_below"),
        window.get("never_above"),
        window.get("resolution"),
    )
    if place.low is None and place.high is None:
        return Markup("")
    y = 62.0
    labels = [
        (at, shown[key], kind)
        for key, kind, at in (
            ("low", "limit", place.low),
            ("value", "value", place.value),
            ("high", "limit", place.high),
        )
        if at is not None and shown.get(key)
    ]
    places = spread([(at, len(text) * 10.2 + 16) for at, text, _ in labels], 0, 360)
    start = LEFT if place.low is None else place.low
    end = RIGHT if place.high is None else place.high
    parts = [
        f'<path class="gauge-line" d="M{_n(LEFT - 14)} {_n(y)}H{_n(RIGHT + 14)}"/>',
        f'<rect class="gauge-wash" x="{_n(start)}" y="{_n(y - 16)}" width="{_n(max(0, end - start))}" height="32"/>',
    ]
    parts += [f'<path class="sign-hatch" d="{hatch(a, b, y - 12, y + 12)}"/>' for a, b in place.never]
    if place.low is not None:
        parts.append(f'<path class="sign-post" d="{_post(place.low, 9, y - 20, y + 20)}"/>')
    if place.high is not None:
        parts.append(f'<path class="sign-post" d="{_post(place.high, -9, y - 20, y + 20)}"/>')
    parts.append(_reading(place, y))
    parts += [
        f'<text class="gauge-{kind}" x="{_n(x)}" y="32">{escape(text)}</text>'
        for (_, text, kind), x in zip(labels, places, strict=True)
    ]
    kind = verdict if verdict in SIGNS else "none"
    return Markup(
        f'<svg class="gauge is-{kind}" viewBox="0 0 360 92" width="360" height="92" aria-hidden="true" '
        f'focusable="false">{"".join(parts)}</svg>'
    )


def _reading(place: Place, y: float) -> str:
    x = place.value
    if x is None:
        return ""
    if place.beyond == "left":
        return f'<path class="sign-reading" d="M{_n(x - 16)} {_n(y)}L{_n(x)} {_n(y - 11)}V{_n(y + 11)}Z"/>'
    if place.beyond == "right":
        return f'<path class="sign-reading" d="M{_n(x + 16)} {_n(y)}L{_n(x)} {_n(y - 11)}V{_n(y + 11)}Z"/>'
    blur = (
        f'<path class="gauge-blur" d="M{_n(x - place.blur)} {_n(y)}H{_n(x + place.blur)}"/>'
        if place.blur > 3
        else ""
    )
    return f'{blur}<path class="sign-reading" d="{_lozenge(x, y, 12)}"/>'
