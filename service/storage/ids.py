"""Opaque ids that say nothing and cannot be guessed."""

import secrets


def fresh_id() -> str:
    """24 URL-safe characters carrying 144 random bits."""
    return secrets.token_urlsafe(18)
