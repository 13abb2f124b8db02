"""The site as it is served, but for how long an export may take to be read."""

from api import streams
from config.wsgi import application

__all__ = ["application"]

streams.LONGEST_S = 4
