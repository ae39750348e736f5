"""bridgewire: will every igniter on every cue light, when, and with what margin?"""

__version__ = "0.1.0"
