"""Runs that are killed at moments chosen by chance: `python -m tests.kills --help`. `scenes.py` says what must hold."""
