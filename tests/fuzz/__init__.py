"""Everything that takes something from outside is given what nobody would think of.

`python -m tests.fuzz --minutes 10` tries for that long and says how much it tried; the tests beside
this try a little of each.
"""
