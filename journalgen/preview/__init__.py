"""The site as it is being written: served to this computer alone, renewed at every change, problems over the page.

`changes` hears from the disk, `keeper` renews the site, `news` holds what browsers are to know of it, `door`
answers them, `serving` leads.
"""
