"""The wire: what service, bot and workers say to one another over HTTP.

A leaf: it imports nothing of ours, so that bot and workers can depend on it without
seeing how the service works inside.
"""
