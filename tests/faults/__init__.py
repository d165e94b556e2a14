"""Faults at random while clients converse, and an independent check of what came of it.

`python -m tests.faults --faults 1000 --chats 1000 --forms 1000` runs the real processes, breaks
them as a plan made from a seed says, and afterwards counts, from what clients and the Bot API
server saw and from the API's answers alone, what was lost, doubled, stuck or contradictory.

- `plan`: what happens when, to whom: from the seed alone.
- `shop`, `links`, `disk`, `postgres`: the processes, what lies between and beneath them.
- `injecting`: carries the faults of the plan out.
- `web`, `telegram`, `posts`: clients, who behave as browsers, telephones and websites do.
- `evidence`: what was seen from outside. `checking` and `recovery` read it and nothing else.
"""
