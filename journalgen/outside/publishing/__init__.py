"""The public edition to the place that its owner sends it to.

The journey: `run` leads; what is to be done is told by `plan` from the digests here (`digests`) and the
manifest there (`manifest`); `sending` does it over a `store`, one for each protocol, opened by `opening`;
`holding` keeps two from doing it at once; `faults` says in one sentence what went wrong.
"""
