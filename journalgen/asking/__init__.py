"""Asking a person at a terminal for what was not said: `asker.py` how, the others what."""
