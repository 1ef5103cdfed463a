"""The handbook: procedures, facts, sheets and tables checked whole and bound into one immutable, hashed document."""

from shaftside.handbook import languages, translating
from shaftside.handbook.bundle import Bundle, build
from shaftside.handbook.keep import Handbooks
from shaftside.handbook.plant import is_plant

__all__ = ["Bundle", "Handbooks", "build", "is_plant", "languages", "translating"]
