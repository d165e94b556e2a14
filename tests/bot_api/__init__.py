"""A Bot API server on loopback: as strict as the real one where that matters, and scriptable.

`with BotApiServer() as api:` serves one bot at `api.base_url` with `api.token` (the token of the
settings; `telegram_api=api.base_url`). Everything is at once visible from the test's thread.

- What people do, each an update in the queue: `say`, `press` (`old=True`: a button under a message
  that the bot is not shown any more), `press_key` (of a reply keyboard), `send_photo`,
  `send_document`, `share_location`, `share_venue`, `share_contact`, `edit`, `say_in_group`,
  `block`; `meet` for who writes elsewhere; `queue` for any update, `repeat` for one that comes
  twice, `tarry` for presses that wait.
- What they see: `sent(chat_id)` (`Sent`: text, rows, buttons, keys, photo, edits), `keys(chat_id)`,
  `commands(chat_id, language)`, `about("description", language)`; `wait_for_sent`.
- What the bot did: `calls`, `calls_of(method)`, `refused`, `wait_for_calls`; `unconfirmed` updates;
  `hook` and `hook_trouble`.
- What goes wrong: `fail`, `stall`, `lose` (taken, never answered), `flood(chat_id, seconds)`,
  `lose_file`.

Updates are had by `getUpdates`, or posted to the webhook once `setWebhook` named one: each chat's
in order, again and again until a 2xx. Of addresses it takes https and plain http on 127.0.0.1.
It refuses: text that is empty or over 4,096 UTF-16 units, captions over 1,024, wrong entities,
labels without a visible character, data over 64 bytes, over 100 buttons or 8 side by side, wrong
addresses, edits that change nothing or that are of messages with a reply keyboard, presses answered
after 15 s, photos that are none, unknown chats and files, and with `limited=True` floods.
"""

from tests.bot_api.refusals import Refusal
from tests.bot_api.server import BotApiServer
from tests.bot_api.text import utf16_length
from tests.bot_api.world import Call, Sent

__all__ = ["BotApiServer", "Call", "Refusal", "Sent", "utf16_length"]
