"""Records to figures: one ledger a file, pure functions that open no file and ask no clock."""
