"""People: who may sign in, with which roles, on which device, and the sign-ins that can be revoked."""

from shaftside.people.devices import Device, OpenHere, devices
from shaftside.people.model import ROLES, Listed, OpenSignIn, Session
from shaftside.people.service import People

__all__ = ["ROLES", "Device", "Listed", "OpenHere", "OpenSignIn", "People", "Session", "devices"]
