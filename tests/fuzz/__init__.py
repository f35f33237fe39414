"""Journals that are broken or hostile, by the thousand: `python -m tests.fuzz --help`.

`trial.py` says what may come of any journal, `structured.py` makes journals that are nearly right, `mutated.py` spoils
bytes of right ones, `guided.py` lets what the program does with bytes lead to the next, `hostile.py` holds what is
known to bite.
"""
