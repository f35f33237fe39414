"""The record as a document for an insurer, a registrar or a buyer: a PDF that can be read for ever, by ear too.

The stages in order: scope (which parts and sessions), choosing (which photographs are shown, and their numbers),
the sections (a module a subject, records and ledgers to the model), document (all of them in order), lettering
(what the letters at hand cannot show), setting (the model to a PDF), target (where it may lie), making (all of it).
"""
