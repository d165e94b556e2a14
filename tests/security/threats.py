"""The threats that the project answers, as data; `python -m tests.security.threats` prints them.

By the OWASP API Security Top 10 (2023) and the rows of OWASP ASVS 5.0 that fit.
"""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Threat:
    """One row: what could happen here, what stands against it, and the tests that show it."""

    row: str
    asks: str
    here: str
    against: str
    tests: tuple[str, ...]


ACCESS = "tests/service/test_access_table.py"
LIMITS = "tests/security/test_limits.py"
HEADERS = "tests/security/test_headers.py"
CANARIES = "tests/security/test_canaries.py"
TEXTS = "tests/security/test_texts.py"
LINKS = "tests/security/test_links.py"
UPLOADS = "tests/security/test_uploads.py"
EVERY_CELL = f"{ACCESS}::test_a_route_lets_in_whom_it_should_and_nobody_else"
EVERY_ANSWER = f"{ACCESS}::test_every_answer_says_what_a_browser_may_do_with_it"
NO_ROUTE_TELLS = f"{CANARIES}::test_no_route_tells_the_log_or_others_what_it_was_sent"

THREATS = (
    Threat(
        row="API1",
        asks="Broken object level authorization",
        here="A client's link, chat or photo, or the website's key that anybody can read, opens"
        " another's request.",
        against="Every route is asked as every caller about their own and another's things; ids are"
        " 144 random bits; the website's key sees nothing of a chat's request.",
        tests=(
            EVERY_CELL,
            "tests/service/api/test_photos.py::test_a_photo_comes_back_to_its_own_conversation_only",
            f"{LINKS}::test_a_link_is_good_for_its_own_purpose_alone",
        ),
    ),
    Threat(
        row="API2",
        asks="Broken authentication",
        here="Passwords and keys are guessed; a session or the webhook's secret is forged.",
        against="Argon2id one at a time, growing pauses by name and network; digests of sessions;"
        " keys and secrets compared in constant time, two secrets while one follows the other.",
        tests=(
            "tests/service/pages/test_signing_in.py::"
            "test_wrong_passwords_make_a_strange_browser_wait_longer_and_longer",
            "tests/service/pages/test_signing_in.py::test_a_made_up_cookie_opens_nothing",
            "tests/bot/telegram/test_webhook.py::"
            "test_without_the_secret_nothing_is_taken_and_nothing_is_said",
            "tests/bot/telegram/test_webhook.py::"
            "test_two_secrets_are_taken_while_one_follows_the_other",
        ),
    ),
    Threat(
        row="API3",
        asks="Broken object property level authorization",
        here="A client sets state, price, id or revision, or reads what the shop pays.",
        against="Every request model forbids fields that it does not name; forms read their own"
        " fields; the website's key gets prices only.",
        tests=(
            "tests/security/test_mass_assignment.py::"
            "test_no_request_has_room_for_a_field_that_is_not_named",
            "tests/security/test_mass_assignment.py::"
            "test_a_request_cannot_say_what_becomes_of_it",
            "tests/service/api/test_leads.py::test_the_website_learns_nothing_personal",
        ),
    ),
    Threat(
        row="API4",
        asks="Unrestricted resource consumption",
        here="Large or deep bodies, the worst brief, pixel bombs, drawings without end.",
        against="Bounds on bodies, pages, pieces, counts, sizes, pixels and photos of a chat; one"
        " drawing at a time and few that wait; limits by address, key, link and chat.",
        tests=(
            "tests/service/api/test_bodies.py::"
            "test_a_body_over_the_limit_is_refused_whatever_the_key",
            f"{TEXTS}::test_the_worst_request_costs_a_moment",
            f"{TEXTS}::test_deep_and_large_json_is_refused_at_once",
            f"{TEXTS}::test_brackets_without_end_are_refused_at_once",
            f"{UPLOADS}::test_what_is_no_whole_picture_of_a_fair_size_is_refused_at_once",
            f"{UPLOADS}::test_a_whole_picture_with_too_much_in_it_is_not_unpacked",
            f"{LIMITS}::test_a_conversation_holds_so_many_photos",
            f"{LIMITS}::test_what_is_drawn_or_worked_out_for_a_link_is_counted_by_link",
            "tests/service/storage/test_limiting.py::"
            "test_without_redis_each_process_counts_for_itself",
        ),
    ),
    Threat(
        row="API5",
        asks="Broken function level authorization",
        here="A helper, a client or another role's key does what is the owner's.",
        against="A route without a placement in the table fails; keys by role; the desk's pages"
        " take `SignedIn` and `Confirmed`.",
        tests=(
            EVERY_CELL,
            f"{ACCESS}::test_every_route_that_is_served_has_its_place",
            "tests/service/pages/test_people.py::test_a_helper_decides_nothing",
        ),
    ),
    Threat(
        row="API6",
        asks="Unrestricted access to sensitive business flows",
        here="A program fills the calendar with holds or the desk with requests.",
        against="A hold needs a quoted request's link and runs out; forms have a trap and a signed"
        " opening time; requests, holds and new chats are counted.",
        tests=(
            f"{LIMITS}::test_times_are_held_so_often_and_no_oftener",
            f"{LIMITS}::test_requests_by_the_websites_key_are_counted_by_address",
            f"{LIMITS}::test_whoever_throws_the_chats_cookie_away_is_no_other_visitor",
            "tests/service/pages/test_trap.py::"
            "test_too_fast_or_too_late_is_asked_again_and_taken_the_second_time",
        ),
    ),
    Threat(
        row="API7",
        asks="Server side request forgery",
        here="An address in a note, a button or a picture makes us ask an inner host by our key.",
        against="Nothing that a client gives is fetched; a message's picture is asked for at the"
        " service itself, by a path that can be nothing but a picture's.",
        tests=(
            "tests/security/test_fetching.py::test_addresses_in_a_request_are_words",
            "tests/security/test_fetching.py::test_our_key_goes_nowhere_but_to_a_picture",
            "tests/security/test_fetching.py::"
            "test_a_conversations_picture_and_links_are_stored_and_not_fetched",
        ),
    ),
    Threat(
        row="API8",
        asks="Security misconfiguration",
        here="Headers are missing on one route; an error shows a traceback; CORS lets anybody in.",
        against="Headers around the whole application; errors are problem details without their"
        " text; origins by setting.",
        tests=(
            EVERY_ANSWER,
            f"{HEADERS}::test_errors_have_their_rules_as_well",
            f"{CANARIES}::test_a_fault_of_ours_is_logged_by_its_place_alone",
        ),
    ),
    Threat(
        row="API9",
        asks="Improper inventory management",
        here="A forgotten route or an old version stays open; a pinned package has a known hole.",
        against="What is served and the table are compared both ways; hashes pin every package,"
        " `deploy/audit` asks for advisories.",
        tests=(
            f"{ACCESS}::test_every_route_that_is_served_has_its_place",
            f"{ACCESS}::test_every_documented_route_is_one_of_them",
            "tests/deploy/test_audit.py::"
            "test_a_known_advisory_fails_and_says_what_mends_it",
        ),
    ),
    Threat(
        row="API10",
        asks="Unsafe consumption of APIs",
        here="Redis, the Bot API or an image file hand us what runs, leaks or bursts.",
        against="JSON only, names from an allow-list; what the Bot API quotes is left out; photos"
        " are drawn anew.",
        tests=(
            "tests/security/test_jobs_in_redis.py::test_a_pickle_is_loaded_nowhere",
            "tests/security/test_jobs_in_redis.py::"
            "test_no_name_is_imported_and_no_argument_but_one_id_is_passed",
            f"{CANARIES}::test_whatever_the_bot_api_answers_neither_log_nor_ledger_quotes_it",
            f"{UPLOADS}::test_of_two_files_in_one_the_picture_alone_is_kept",
        ),
    ),
    Threat(
        row="ASVS 2.3.1",
        asks="Steps in their order, none skipped",
        here="A date is booked without a price, a price is answered that was replaced.",
        against="A table of moves; a decision names the quote that it answers.",
        tests=(
            "tests/service/leads/test_lead.py::test_only_a_held_lead_can_be_booked",
            "tests/service/api/test_leads.py::"
            "test_outdoors_waits_for_the_owner_who_changes_the_price_once",
        ),
    ),
    Threat(
        row="ASVS 2.3.3",
        asks="A business operation succeeds whole or not at all",
        here="A request without its owed answer, a turn without its messages.",
        against="One transaction for each; the queue is told after the commit.",
        tests=(
            "tests/service/storage/test_outbox.py::test_a_step_is_queued_after_the_commit_only",
            "tests/service/api/test_leads.py::test_twins_of_a_request_make_one_lead",
        ),
    ),
    Threat(
        row="ASVS 2.3.4",
        asks="Limited things are not booked twice",
        here="Two clients get the same hours of a crew or the same frame.",
        against="Quarter hours are primary keys; a day's row is locked first.",
        tests=(
            "tests/service/storage/test_holds.py::"
            "test_of_many_clients_at_the_same_moment_one_gets_the_window",
        ),
    ),
    Threat(
        row="ASVS 2.4.1",
        asks="Protection from excessive calls",
        here="Floods by one address, or by many with the key of the website.",
        against="`leads/limits.py`: counted in Redis, in the process while it is away; 429 with"
        " Retry-After and a kind word.",
        tests=(
            f"{LIMITS}::test_the_websites_key_has_room_for_people_and_not_for_floods",
            f"{LIMITS}::test_all_addresses_together_have_a_limit_too",
            f"{LIMITS}::test_the_web_chat_asks_before_it_takes_and_says_kindly_when_to_go_on",
        ),
    ),
    Threat(
        row="ASVS 3.3.2",
        asks="SameSite by a cookie's purpose",
        here="Another site's page acts with a visitor's cookie.",
        against="The desk: strict, and a token in every form. The chat: lax, or none with a jar of"
        " the framing site's own, and Sec-Fetch-Site. All `__Host-` by https.",
        tests=(
            f"{HEADERS}::test_every_cookie_is_ours_alone_and_out_of_scripts_reach",
            "tests/service/pages/test_signing_in.py::"
            "test_the_session_cookie_is_kept_from_scripts_other_sites_and_plain_http",
            "tests/bot/webchat/test_visiting.py::"
            "test_in_another_websites_frame_the_cookie_is_kept_for_that_website",
        ),
    ),
    Threat(
        row="ASVS 3.4.1",
        asks="Strict-Transport-Security on every answer",
        here="The first request goes out in the clear.",
        against="A year, wherever the public address is https. `includeSubDomains` (level 2) speaks"
        " for hosts that are not ours: it is the proxy's to add.",
        tests=(
            EVERY_ANSWER,
            f"{HEADERS}::test_the_web_chat_has_the_same_rules_on_every_answer",
        ),
    ),
    Threat(
        row="ASVS 3.4.2",
        asks="CORS by an allow-list",
        here="Any website calls the API from its visitors' browsers.",
        against="Origins from GARLANDRY_WEBSITE_ORIGINS, never with credentials.",
        tests=(f"{HEADERS}::test_only_the_owners_websites_may_frame_the_form_and_call_the_api",),
    ),
    Threat(
        row="ASVS 3.4.3",
        asks="Content-Security-Policy on every answer",
        here="A name with markup in it runs as a script at the owner's desk.",
        against="Escaping templates; own scripts only, those of /docs by their digest;"
        " object-src and base-uri none.",
        tests=(EVERY_ANSWER, f"{HEADERS}::test_errors_have_their_rules_as_well"),
    ),
    Threat(
        row="ASVS 3.4.4",
        asks="nosniff on every answer",
        here="A photo that is a page besides is run as one.",
        against="nosniff everywhere; photos are drawn anew and served as JPEG.",
        tests=(
            EVERY_ANSWER,
            f"{UPLOADS}::test_whatever_was_kept_a_browser_takes_for_a_picture_only",
        ),
    ),
    Threat(
        row="ASVS 3.4.5",
        asks="Referrer-Policy",
        here="A followed link tells another site the address that opens a quote.",
        against="same-origin on every answer.",
        tests=(EVERY_ANSWER,),
    ),
    Threat(
        row="ASVS 3.4.6",
        asks="frame-ancestors on every answer",
        here="The desk or a booking is laid under another page's button.",
        against="None, but for the form and its pages on the owner's own websites.",
        tests=(
            f"{ACCESS}::test_every_page_says_that_nobody_else_may_frame_it",
            f"{HEADERS}::test_only_the_owners_websites_may_frame_the_form_and_call_the_api",
            "tests/bot/webchat/test_embed.py::test_a_website_that_is_not_named_shows_no_chat",
        ),
    ),
    Threat(
        row="ASVS 8.2.2",
        asks="Access to each piece of data",
        here="As API1, at the desk and in feeds as well.",
        against="As API1; looking changes nothing, an altered link opens nothing.",
        tests=(EVERY_CELL, f"{LINKS}::test_no_other_byte_in_any_place_is_taken"),
    ),
    Threat(
        row="ASVS 11.5.1",
        asks="At least 128 random bits of a secure generator",
        here="Ids, sessions, links or keys are guessed.",
        against="`secrets`: ids 144 bits, keys and sessions 256, chats 192; links signed besides.",
        tests=(
            "tests/security/test_randomness.py::test_what_must_not_be_guessed_has_enough_chance",
            "tests/service/pages/test_client_links.py::"
            "test_a_link_says_nothing_of_the_lead_and_cannot_be_guessed",
            "tests/service/pages/test_signing_in.py::"
            "test_the_session_cookie_is_kept_from_scripts_other_sites_and_plain_http",
            "tests/bot/webchat/test_visiting.py::"
            "test_the_page_gives_a_new_visitor_an_unguessable_cookie_and_keeps_a_known_one",
        ),
    ),
    Threat(
        row="ASVS 14.2.1",
        asks="Nothing sensitive in an address",
        here="A client's link is a key in an address: in histories, proxies' logs, forwarded mail.",
        against="Met in part, by purpose: clients have no account. A link is good for one thing and"
        " a time, can be taken back, is not logged, passed on, indexed or kept by caches. API keys,"
        " sessions and chats are never in an address.",
        tests=(
            f"{LINKS}::test_after_its_time_or_once_it_is_taken_back_it_stays_shut",
            f"{ACCESS}::test_nothing_personal_is_kept_on_the_way",
            EVERY_ANSWER,
        ),
    ),
    Threat(
        row="ASVS 15.3.3",
        asks="Protection from mass assignment",
        here="As API3.",
        against="As API3.",
        tests=(
            "tests/security/test_mass_assignment.py::"
            "test_no_request_has_room_for_a_field_that_is_not_named",
            "tests/security/test_mass_assignment.py::"
            "test_the_forms_of_clients_heed_their_own_fields_only",
        ),
    ),
    Threat(
        row="ASVS 16.2.5",
        asks="Logs hold what their protection allows",
        here="A token, a key or a client's words are in a log, a job's record or a traceback.",
        against="Opaque ids only; an error is told by place and kind; talkative libraries are quiet"
        " at any level; jobs fail without their error's text; SQL errors hide their values.",
        tests=(
            NO_ROUTE_TELLS,
            f"{CANARIES}::test_the_web_chat_tells_its_log_nothing_of_what_fails",
            f"{CANARIES}::test_the_databases_own_errors_name_no_values",
            "tests/security/test_jobs_in_redis.py::"
            "test_what_went_wrong_with_a_job_says_nothing_of_anybody",
            "tests/workers/test_app.py::test_no_log_at_any_level_holds_a_token_or_a_key",
        ),
    ),
)  # fmt: skip


def markdown() -> str:
    """The table, for people."""
    lines = ["| row | could happen here | stands against it | tests |", "|---|---|---|---|"]
    for each in THREATS:
        tests = "<br>".join(f"`{_short(test)}`" for test in each.tests)
        lines.append(f"| **{each.row}** {each.asks} | {each.here} | {each.against} | {tests} |")
    return "\n".join(lines)


def _short(test: str) -> str:
    path, _, name = test.partition("::")
    return f"{path.removeprefix('tests/').removesuffix('.py')}::{name.removeprefix('test_')}"


if __name__ == "__main__":
    print(markdown())
