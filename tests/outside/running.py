"""What the fixture `run` of this folder is."""

from collections.abc import Callable
from typing import Any

Run = Callable[..., dict[str, Any]]
