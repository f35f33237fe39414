"""Lets `python -m journalgen` do what the console script does."""

from journalgen.start import main

if __name__ == "__main__":
    main()
