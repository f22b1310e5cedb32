"""Settings: where they come from, and the secret."""

import stat
from pathlib import Path

import pytest

from webapp.config import LEAST_SECRET, SETTINGS, BadSetting, environment_file, is_weak, kept_secret, settings
from webapp.serving import is_loopback

DEPLOY = Path(__file__).parents[2] / "deploy"


def test_what_is_told_wins_over_the_environment_and_that_over_the_default(data: Path) -> None:
    environment = {"CLOCKYARD_DEVICE_DAYS": "30", "CLOCKYARD_DEMO": "1", "CLOCKYARD_DATA": "elsewhere"}
    told = settings({"DATA": data, "DEMO": False}, environment)
    assert (told["DATA"], told["DEMO"], told["DEVICE_DAYS"], told["MOST_BODY"]) == (data, False, 30, 1_000_000)


def test_settings_put_in_again_stay_what_they_are(data: Path) -> None:
    told = settings({"DATA": data, "HTTPS": True}, {})
    assert settings(told, {}) == told


@pytest.mark.parametrize(("name", "text"), [("DEMO", "yes"), ("MOST_BODY", "1 MB"), ("DEVICE_DAYS", "0")])
def test_a_value_that_cannot_be_read_names_its_variable(data: Path, name: str, text: str) -> None:
    with pytest.raises(BadSetting, match=f"CLOCKYARD_{name}"):
        settings({"DATA": data}, {f"CLOCKYARD_{name}": text})


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("export CLOCKYARD_DEMO=1", "'export CLOCKYARD_DEMO', which is no name of a variable"),
        ("CLOCKYARD_DEMO=1  # for the open day", "a # behind the value of CLOCKYARD_DEMO"),
        ("CLOCKYARD_DEMO", "is no NAME=value"),
    ],
)
def test_a_line_that_the_service_would_misread_is_refused_by_its_number(tmp_path: Path, line: str, why: str) -> None:
    path = tmp_path / "clockyard.env"
    path.write_text(f"# what is set here\n\n{line}\n")
    with pytest.raises(BadSetting, match=f"Line 3 of .*{why}"):
        environment_file(path)


def test_a_sign_within_a_value_or_within_quotes_is_its_own(tmp_path: Path) -> None:
    path = tmp_path / "clockyard.env"
    path.write_text("CLOCKYARD_JOIN_CODE='number #1'\nCLOCKYARD_METRICS_TOKEN = a#b\nCLOCKYARD_SECRET=#c\n")
    assert environment_file(path) == {
        "CLOCKYARD_JOIN_CODE": "number #1",
        "CLOCKYARD_METRICS_TOKEN": "a#b",
        "CLOCKYARD_SECRET": "#c",
    }


def test_the_secret_is_made_once_and_only_its_owner_reads_it(data: Path) -> None:
    secret = kept_secret(data)
    assert kept_secret(data) == secret
    assert not is_weak(secret)
    assert stat.S_IMODE((data / "secret").stat().st_mode) == 0o600
    assert settings({"DATA": data}, {})["SECRET_KEY"] == secret
    assert settings({"DATA": data}, {"CLOCKYARD_SECRET": "s" * 40})["SECRET_KEY"] == "s" * 40


def test_an_empty_secret_file_is_no_secret(data: Path) -> None:
    data.mkdir()
    (data / "secret").touch()
    with pytest.raises(BadSetting, match="empty"):
        settings({"DATA": data}, {})


LONG_ENOUGH = "53649abe27e1058ef36d2ad53d1af0fc"


@pytest.mark.parametrize(("secret", "weak"), [("golf", True), ("a" * 64, True), (LONG_ENOUGH, False)])
def test_a_secret_is_weak_when_short_or_plain(secret: str, weak: bool) -> None:
    assert is_weak(secret) is weak
    assert len(LONG_ENOUGH) == LEAST_SECRET


def test_over_https_cookies_are_bound_to_it(data: Path) -> None:
    plain, secure = (settings({"DATA": data, "HTTPS": https}, {}) for https in (False, True))
    assert (plain["SESSION_COOKIE_NAME"], plain["SESSION_COOKIE_SECURE"]) == ("session", False)
    assert (secure["SESSION_COOKIE_NAME"], secure["SESSION_COOKIE_SECURE"]) == ("__Host-session", True)
    assert secure["SESSION_COOKIE_HTTPONLY"]


@pytest.mark.parametrize(
    ("host", "loopback"), [("127.0.0.1", True), ("localhost", True), ("::1", True), ("0.0.0.0", False), ("::", False)]
)
def test_it_knows_an_address_that_others_can_reach(host: str, loopback: bool) -> None:
    assert is_loopback(host) is loopback


def test_the_environment_file_explains_every_setting() -> None:
    text = (DEPLOY / "clockyard.env").read_text()
    for setting in SETTINGS:
        assert f"{setting.variable}=" in text
        assert setting.meaning.split(".")[0].split(";")[0] in text.replace("\n# ", " ")
