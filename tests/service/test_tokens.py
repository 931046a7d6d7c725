"""Named tokens: handed out once, kept as digests, withdrawn at once, and seen by a running service."""

from __future__ import annotations

import hashlib
import json
import os
import stat

import pytest

from service.asking import ADDRESS, TOKEN, Application, call
from stillbook.service import tokens
from stillbook.service.guard import Access
from stillbook.service.recent import RecentErrors
from stillbook.service.tokens import TokenError, Tokens


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "tokens"


@pytest.fixture
def team(folder):
    """An application whose owner may hand out tokens."""
    return Application(access=Access.to(ADDRESS, TOKEN, named=Tokens(folder)))


def bearer(token):
    return {"headers": {"Authorization": f"Bearer {token}"}}


def test_a_token_is_kept_as_its_digest_for_its_owner_alone(folder):
    token = tokens.add(folder, "anna")
    file = folder / "anna.json"
    assert len(token) == 43
    assert json.loads(file.read_text())["sha256"] == hashlib.sha256(token.encode()).hexdigest()
    assert token not in file.read_text()
    assert [stat.S_IMODE(path.stat().st_mode) for path in (file, folder)] == [0o600, 0o700]
    assert [each.name for each in tokens.listed(folder)] == ["anna"]


def test_it_counts_from_the_next_request_until_it_is_withdrawn(folder, team):
    assert team.ask("GET", "/health", **bearer("x" * 43)).status_code == 401
    anna, ben = tokens.add(folder, "anna"), tokens.add(folder, "ben")
    for token in (anna, ben, TOKEN):
        assert team.ask("GET", "/health", **bearer(token)).status_code == 200
    tokens.withdraw(folder, "anna")
    assert [team.ask("GET", "/health", **bearer(token)).status_code for token in (anna, ben)] == [401, 200]
    assert tokens.add(folder, "anna") != anna
    assert team.ask("GET", "/health", **bearer(anna)).status_code == 401


def test_changes_are_seen_also_long_after_the_last_one(folder):
    known = Tokens(folder)
    anna = tokens.add(folder, "anna")
    os.utime(folder, (1_000_000_000, 1_000_000_000))  # as if it were added long ago
    assert known.holder(anna) == "anna"
    assert known.holder(anna) == "anna"  # from memory
    tokens.withdraw(folder, "anna")
    assert known.holder(anna) is None


@pytest.mark.parametrize(
    "damage",
    [
        lambda file: file.chmod(0o644),
        lambda file: file.write_text("{"),
        lambda file: file.write_text("{}"),
        lambda file: file.write_text('{"sha256": "", "since": "2026-01-01"}'),
        lambda file: file.write_text('{"sha256": 5, "since": "2026-01-01"}'),
        lambda file: (file.unlink(), file.mkdir()),
    ],
)
def test_a_file_that_is_damaged_or_open_to_others_lets_nobody_in(folder, damage):
    token = tokens.add(folder, "anna")
    damage(folder / "anna.json")
    assert Tokens(folder).holder(token) is None
    assert tokens.listed(folder) == ()


@pytest.mark.parametrize("name", ["", "Anna", "a b", "../anna", "anna.json", "-anna", "a" * 41, "änna", "anna\n"])
def test_names_that_cannot_be_used(folder, name):
    for action in (tokens.add, tokens.withdraw):
        with pytest.raises(TokenError, match="cannot be a name"):
            action(folder, name)
    assert not folder.exists()


@pytest.mark.skipif(os.name != "posix", reason="owners are POSIX's")
def test_a_token_that_the_service_would_not_believe_is_not_made(folder, monkeypatch):
    folder.mkdir()
    monkeypatch.setattr(tokens.os, "getuid", lambda: 4711)
    with pytest.raises(TokenError, match="belongs to another user"):
        tokens.add(folder, "anna")
    assert list(folder.iterdir()) == []


def test_what_is_there_or_not_there_already(folder):
    with pytest.raises(TokenError, match="anna has no token"):
        tokens.withdraw(folder, "anna")
    token = tokens.add(folder, "anna")
    with pytest.raises(TokenError, match="anna has a token: withdraw it first"):
        tokens.add(folder, "anna")
    assert Tokens(folder).holder(token) == "anna"


def test_each_caller_is_told_of_its_own_errors(folder, team):
    anna, ben = tokens.add(folder, "anna"), tokens.add(folder, "ben")
    body = {"json": {"calls": [call("FLOORLOAD", -1, 1, cell="Shell!C7")]}}
    assert team.ask("POST", "/calls", **bearer(anna), **body).json()["answers"][0]["error"] == "#NUM!"
    told = [team.ask("GET", "/recent-errors", **bearer(token)).json()["errors"] for token in (anna, ben, TOKEN)]
    assert [[error["cell"] for error in errors] for errors in told] == [["Shell!C7"], [], []]


def test_long_notes_of_a_caller_with_a_long_name_fit(folder):
    from stillbook.service.recent import Failure

    mine = RecentErrors().of("a" * 40)
    mine.add([Failure(*["\x00" * 1000] * 4)] * 3)
    assert mine.newest_first()[0]["count"] == 3


def test_the_log_names_the_holder_and_no_token(folder, team, caplog):
    anna = tokens.add(folder, "anna")
    caplog.set_level("INFO", logger="stillbook.service")
    team.ask("GET", "/health", **bearer(anna))
    team.ask("GET", "/health", **bearer("guessed-token"))
    facts = [record.facts for record in caplog.records]
    assert [(each.get("caller"), each["status"], each.get("client")) for each in facts] == [
        ("anna", 200, None),
        (None, 401, "127.0.0.1"),
    ]
    for secret in (anna, TOKEN, "guessed-token"):
        assert secret not in str(facts)
