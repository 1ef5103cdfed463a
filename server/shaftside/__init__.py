"""Shaftside: field installation checklist and torque guide for mounted bearings."""

__version__ = "0.1.0"
