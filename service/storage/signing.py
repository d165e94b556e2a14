"""Signed links: opaque ids that cannot be made up or used for another purpose."""

from itsdangerous import BadSignature, URLSafeSerializer

from service.leads.lead import NotFound


class LinkSigner:
    """`service.leads.ports.Signer` with one secret; the purpose is the salt."""

    def __init__(self, secret: str) -> None:
        self._secret = secret

    def sign(self, link_id: str, *, purpose: str) -> str:
        """A URL-safe token."""
        token = URLSafeSerializer(self._secret, salt=purpose).dumps(link_id)
        return token if isinstance(token, str) else token.decode()

    def read(self, token: str, *, purpose: str) -> str:
        """The id inside; NotFound when it was altered or made for something else."""
        try:
            link_id = str(URLSafeSerializer(self._secret, salt=purpose).loads(token))
        except BadSignature:
            raise NotFound("There is no such link.") from None
        # The last character of a signature has spare bits; a link is as we wrote it or not ours.
        if self.sign(link_id, purpose=purpose) != token:
            raise NotFound("There is no such link.")
        return link_id
