"""The phone app's files on their way out: joined into one script, shortened, hashed, served under /phone."""

from shaftside.phone.files import PhoneFiles

__all__ = ["PhoneFiles"]
