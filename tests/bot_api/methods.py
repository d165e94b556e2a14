"""The methods of the Bot API, as far as the bot uses them."""

import math
import time
from collections import deque
from collections.abc import Callable
from typing import Any

from tests.bot_api import keyboards, rules, text
from tests.bot_api.keyboards import Markup
from tests.bot_api.refusals import Refusal, bad, flooded
from tests.bot_api.world import Hook, Rows, Sent, World

Params = dict[str, Any]

# With limits on, what is refused: more than so many in so many seconds. The Bot FAQ allows one a
# second in a chat "with short bursts", twenty a minute in a group, thirty a second in all.
_PRIVATE = (8, 5.0)
_GROUP = (20, 60.0)
_IN_ALL = (30, 1.0)


class Methods:
    """Acts on the world as a method says, or refuses. With `limited`, a flood is refused too."""

    def __init__(self, world: World, *, limited: bool) -> None:
        self._world = world
        self._limited = limited
        self._acts: dict[str, Callable[[Params], Any]] = {
            "getMe": lambda _: world.bot,
            "sendMessage": self._send_message,
            "sendPhoto": self._send_photo,
            "editMessageText": self._edit_message_text,
            "editMessageReplyMarkup": self._edit_message_reply_markup,
            "sendChatAction": self._send_chat_action,
            "answerCallbackQuery": self._answer_callback_query,
            "setMyCommands": self._set_my_commands,
            "getMyCommands": self._get_my_commands,
            "setMyDescription": lambda params: self._set_about("description", params),
            "getMyDescription": lambda params: self._get_about("description", params),
            "setMyShortDescription": lambda params: self._set_about("short_description", params),
            "getMyShortDescription": lambda params: self._get_about("short_description", params),
            "getFile": self._get_file,
            "setWebhook": self._set_webhook,
            "getWebhookInfo": self._get_webhook_info,
            "deleteWebhook": self._delete_webhook,
        }

    def act(self, method: str, params: Params) -> Any:
        """The result of a call. Raises Refusal."""
        if method not in self._acts:
            raise Refusal(404, "Not Found: method not found")
        return self._acts[method](params)

    def _send_message(self, params: Params) -> Params:
        said = text.message_text(params)
        chat_id = self._open_chat(params)
        return self._sent(chat_id, said, self._markup(chat_id, params))

    def _send_photo(self, params: Params) -> Params:
        caption = text.caption(params)
        chat_id = self._open_chat(params)
        uploaded = params.get("photo")
        if not isinstance(uploaded, bytes):
            raise bad("there is no photo in the request")
        return self._sent(
            chat_id, caption, self._markup(chat_id, params), photo=rules.photo(uploaded)
        )

    def _markup(self, chat_id: int, params: Params) -> Markup:
        return keyboards.markup(params.get("reply_markup"), private=chat_id > 0)

    def _sent(
        self, chat_id: int, said: str, markup: Markup, *, photo: bytes | None = None
    ) -> Params:
        self._count(chat_id)
        sent = Sent(
            message_id=self._world.message_id(),
            chat_id=chat_id,
            text=said,
            rows=markup.rows,
            keys=markup.keys,
            takes_keys=markup.takes_keys,
            photo=photo,
            at=time.monotonic(),
        )
        self._world.messages[chat_id, sent.message_id] = sent
        self._world.of_chat.setdefault(chat_id, []).append(sent)
        if markup.keys:
            self._world.keys[chat_id] = markup.keys
        elif markup.takes_keys:
            self._world.keys.pop(chat_id, None)
        return self._world.as_message(sent)

    def _edit_message_text(self, params: Params) -> Params:
        said = text.message_text(params)
        rows = keyboards.inline(params.get("reply_markup"))
        sent = self._editable(params)
        if sent.photo is not None:
            raise bad("there is no text in the message to edit")
        return self._changed(sent, said, rows)

    def _edit_message_reply_markup(self, params: Params) -> Params:
        rows = keyboards.inline(params.get("reply_markup"))
        sent = self._editable(params)
        return self._changed(sent, sent.text, rows)

    def _editable(self, params: Params) -> Sent:
        chat_id = self._open_chat(params)
        sent = self._world.messages.get((chat_id, int(params.get("message_id") or 0)))
        if sent is None:
            raise bad("message to edit not found")
        if sent.keys or sent.takes_keys:
            raise bad("message can't be edited")
        return sent

    def _changed(self, sent: Sent, said: str, rows: Rows) -> Params:
        if (sent.text, sent.rows) == (said, rows):
            raise bad(
                "message is not modified: specified new message content and reply markup are"
                " exactly the same as a current content and reply markup of the message"
            )
        self._count(sent.chat_id)
        sent.text, sent.rows, sent.edits = said, rows, sent.edits + 1
        return self._world.as_message(sent)

    def _send_chat_action(self, params: Params) -> bool:
        rules.chat_action(params.get("action"))
        self._open_chat(params)
        return True

    def _answer_callback_query(self, params: Params) -> bool:
        rules.callback_answer(params.get("text"))
        pressed = self._world.queries.pop(str(params.get("callback_query_id")), -math.inf)
        if time.monotonic() - pressed > rules.QUERY_LASTS_S:
            raise bad("query is too old and response timeout expired or query ID is invalid")
        return True

    def _set_my_commands(self, params: Params) -> bool:
        self._world.commands[self._audience(params)] = rules.commands(params.get("commands"))
        return True

    def _get_my_commands(self, params: Params) -> list[dict[str, str]]:
        return self._world.commands.get(self._audience(params), [])

    def _audience(self, params: Params) -> tuple[str, str]:
        kind, chat_id = rules.scope(params.get("scope"))
        if chat_id is not None and chat_id not in self._world.chats:
            raise bad("chat not found")
        who = kind if chat_id is None else f"chat {chat_id}"
        return who, rules.language(params.get("language_code"))

    def _set_about(self, what: str, params: Params) -> bool:
        language = rules.language(params.get("language_code"))
        self._world.about[what, language] = rules.about(params.get(what), what)
        return True

    def _get_about(self, what: str, params: Params) -> dict[str, str]:
        language = rules.language(params.get("language_code"))
        return {what: self._world.about.get((what, language), "")}

    def _get_file(self, params: Params) -> Params:
        file_id = str(params.get("file_id"))
        data = self._world.files.get(file_id)
        if data is None:
            raise bad("wrong file_id or the file is temporarily unavailable")
        if len(data) > rules.DOWNLOAD_MOST_BYTES:
            raise bad("file is too big")
        return {
            "file_id": file_id,
            "file_unique_id": f"u-{file_id}",
            "file_size": len(data),
            "file_path": f"photos/{file_id}",
        }

    def _set_webhook(self, params: Params) -> bool:
        url = str(params.get("url") or "")
        if not url:
            return self._delete_webhook(params)
        self._world.hook = Hook(
            url=rules.hook_address(url),
            secret=rules.hook_secret(params.get("secret_token")),
            allowed=rules.update_kinds(params.get("allowed_updates")),
            connections=rules.connections(params.get("max_connections")),
        )
        return True

    def _get_webhook_info(self, _: Params) -> Params:
        hook = self._world.hook
        info: Params = {"url": hook.url if hook else "", "has_custom_certificate": False}
        info["pending_update_count"] = len(self._world.updates)
        if hook and hook.last_error:
            info |= {"last_error_message": hook.last_error, "last_error_date": int(time.time())}
        return info

    def _delete_webhook(self, _: Params) -> bool:
        self._world.hook = None
        return True

    def _open_chat(self, params: Params) -> int:
        try:
            chat_id = int(params.get("chat_id") or 0)
        except ValueError:
            chat_id = 0
        if chat_id not in self._world.chats:
            raise bad("chat not found")
        if chat_id in self._world.blocked:
            raise Refusal(403, "Forbidden: bot was blocked by the user")
        left = self._world.floods.get(chat_id, 0.0) - time.monotonic()
        if left > 0:
            raise flooded(math.ceil(left))
        return chat_id

    def _count(self, chat_id: int) -> None:
        if not self._limited:
            return
        of_chat = _GROUP if chat_id < 0 else _PRIVATE
        counted = [(chat_id, *of_chat), (None, *_IN_ALL)]
        for who, most, seconds in counted:
            self._refuse_flood(self._world.sendings.setdefault(who, deque()), most, seconds)
        for who, _, _ in counted:
            self._world.sendings[who].append(time.monotonic())

    def _refuse_flood(self, sendings: deque[float], most: int, seconds: float) -> None:
        now = time.monotonic()
        while sendings and sendings[0] <= now - seconds:
            sendings.popleft()
        if len(sendings) >= most:
            raise flooded(math.ceil(sendings[0] + seconds - now))
