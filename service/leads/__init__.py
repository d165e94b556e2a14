"""The life of a lead: what may happen to it, when, and what the client is told."""
