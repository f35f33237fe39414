"""What a site would tell strangers, looked for in the very files that are about to be sent.

The subjects: `patterns` finds what has a known form in texts, `hidden` what the journal keeps from strangers,
`pictures` what cameras wrote, `links` what leads nowhere, `sizes` what is too large. `texts` makes words of files,
`places` says where in the journal something was written, and `inspection` leads.
"""
