"""The marks of a page (tag, tray, card, photograph, pair, tally ...) as plain values for the templates."""
