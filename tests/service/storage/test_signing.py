"""Signed links."""

import string

import pytest

from service.leads.lead import NotFound
from service.storage.ids import fresh_id
from service.storage.signing import LinkSigner


def test_a_link_opens_for_its_purpose_only() -> None:
    signer = LinkSigner("secret")
    token = signer.sign("abc", purpose="quote")
    assert signer.read(token, purpose="quote") == "abc"
    with pytest.raises(NotFound):
        signer.read(token, purpose="booking")
    with pytest.raises(NotFound):
        LinkSigner("another").read(token, purpose="quote")


def test_no_altered_character_goes_through() -> None:
    signer = LinkSigner("secret")
    token = signer.sign(fresh_id(), purpose="quote")
    for place in range(len(token)):
        for other in string.ascii_letters + string.digits + "-_.":
            if other == token[place]:
                continue
            with pytest.raises(NotFound):
                signer.read(token[:place] + other + token[place + 1 :], purpose="quote")
