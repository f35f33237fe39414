"""Bags (BagIt 1.0, RFC 8493): the journal kept for later, and any bag verified.

Made: `targets` finds a bag its place, `payload` lists what goes in, `writing` copies it, `readme` and `labelling` tell
what it is, `earlier` what an earlier bag holds already, and `making` leads. Verified: `opening` gives the files of a
folder or a zip, `description` reads what a bag says of itself with `tag_files` and `manifests`, `checking` compares,
and `chain` looks at a bag together with those it builds on. Sections named in comments are those of RFC 8493.
"""
