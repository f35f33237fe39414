"""Lets `python -m journalgen` do what the console script does."""

from journalgen.command import main

if __name__ == "__main__":
    main()
