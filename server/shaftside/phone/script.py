"""A script of ours as the phone gets it: shortened by a well-kept minifier where it has a wheel, else without comments.

Property names, strings and behaviour stay; names that no other file can see get short. Licence comments stay.
"""

from __future__ import annotations

from typing import Any

from shaftside.phone.strip_js import NotUnderstood, strip

try:
    import minify as _minify
except ImportError:  # no wheel for this machine: more to send, the same program
    _minify = None


def shortened(text: str, minifier: Any = _minify) -> str:
    """The same program in less text. Raises NotUnderstood for a damaged script."""
    if minifier is None or "@license" in text or "@preserve" in text:
        return strip(text)
    try:
        return str(minifier.string("text/javascript", text))
    except minifier.MinifyError as problem:
        raise NotUnderstood(str(problem).splitlines()[0]) from problem
