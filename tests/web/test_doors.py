"""The doors: who may come in, from where, and with how much."""

from __future__ import annotations

import io
import re
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from PIL import Image

from brinebook.cli.main import main
from brinebook.desk import doors, passes
from brinebook.desk.opening import open_system
from brinebook.desk.photos import photo_of
from brinebook.web.doors.slow import Slow
from tests.web.conftest import NOW, Open, Reader, fields_of

PASSWORD = "three dull words"


@pytest.fixture
def guarded(book: str, open_at: Open) -> Reader:
    """A notebook with a password, open to the home network."""
    doors.set_password(open_system(book).book, PASSWORD)
    return open_at(book, host="0.0.0.0")


def _sign_in(reader: Reader, password: str) -> int:
    page = reader.client.get("/sign-in").text
    sent = fields_of(page) | {"password": password}
    return reader.client.post("/sign-in", data=sent, follow_redirects=False).status_code


def test_without_a_password_only_this_machine_is_served(
    book: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--book", book, "serve", "--host", "0.0.0.0", "--port", "8499"]) == 2
    assert "E-SERVE-PASSWORD" in capsys.readouterr().err
    assert main(["--book", book, "serve", "--name", "reef.example", "--port", "8499"]) == 2


def test_the_password_is_kept_as_an_argon2id_hash(book: str) -> None:
    opened = open_system(book).book
    doors.set_password(opened, PASSWORD)
    kept = doors.password_hash(opened)
    assert kept is not None
    assert kept.startswith("$argon2id$")
    assert PASSWORD not in kept


def test_a_short_password_is_refused(book: str) -> None:
    with pytest.raises(doors.PasswordPoor):
        doors.set_password(open_system(book).book, "short")


def test_no_page_is_shown_before_the_password(guarded: Reader) -> None:
    for path in ("today", "water", "log", "enter/test", "system", "access"):
        page = guarded.get(path, status=401)
        assert 'type="password"' in page
        assert "alkalinity" not in page
    assert _sign_in(guarded, "something else") == 401
    assert _sign_in(guarded, PASSWORD) == 303
    assert "alkalinity" in guarded.get("today").lower()


def test_signing_in_leads_back_and_never_elsewhere(guarded: Reader) -> None:
    for path in ("https://example.org/", "//example.org", "/\\example.org", "javascript:1"):
        page = guarded.client.get("/sign-in").text
        sent = fields_of(page) | {"password": PASSWORD, "then": path}
        answer = guarded.client.post("/sign-in", data=sent, follow_redirects=False)
        assert answer.headers["location"] == "/"


def test_a_new_password_ends_every_session(guarded: Reader, book: str) -> None:
    assert _sign_in(guarded, PASSWORD) == 303
    doors.set_password(open_system(book).book, "four other dull words")
    password = guarded.client.app.state.notebook.password  # type: ignore[attr-defined]
    password._read_at = float("-inf")
    guarded.get("today", status=401)


def test_wrong_passwords_make_the_next_try_wait(guarded: Reader) -> None:
    answers = [_sign_in(guarded, "something else") for _ in range(4)]
    assert answers == [401, 401, 401, 429]
    assert _sign_in(guarded, PASSWORD) == 429


def test_passwords_tried_at_once_are_let_through_no_faster(guarded: Reader) -> None:
    page = guarded.client.get("/sign-in").text
    sent = fields_of(page) | {"password": "something else"}

    def attempt(_: int) -> int:
        return guarded.client.post("/sign-in", data=sent).status_code

    with ThreadPoolExecutor(12) as many:
        answers = list(many.map(attempt, range(12)))
    assert answers.count(401) == 3  # as one after another
    assert answers.count(429) == 9


def test_waiting_doubles_and_ends() -> None:
    now = [0.0]
    slow = Slow(lambda: now[0])
    for _ in range(3):
        slow.wrong("a")
    assert slow.wait("a") == 1.0
    assert slow.wait("b") == 0.0
    slow.wrong("a")
    assert slow.wait("a") == 2.0
    now[0] = 2.5
    assert slow.wait("a") == 0.0
    for _ in range(20):
        slow.wrong("a")
    assert slow.wait("a") <= 300.0


def test_the_cookie_is_out_of_reach_of_scripts_and_other_pages(reader: Reader) -> None:
    cookie = reader.client.get(reader.url("today")).headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie


def test_a_cookie_that_was_not_signed_here_counts_for_nothing(guarded: Reader) -> None:
    assert _sign_in(guarded, PASSWORD) == 303
    cookie = guarded.client.cookies["brinebook"]
    guarded.client.cookies.clear()
    middle = len(cookie) // 2
    guarded.client.cookies.set("brinebook", cookie[:middle] + "x" + cookie[middle + 1 :])
    guarded.get("today", status=401)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example:8410", "a@127.0.0.1", ""])
def test_a_name_that_is_not_ours_gets_nothing(reader: Reader, host: str) -> None:
    answer = reader.client.get(reader.url("today"), headers={"Host": host})
    assert answer.status_code == 403
    assert "alkalinity" not in answer.text


@pytest.mark.parametrize("host", ["127.0.0.1:8410", "localhost:8410", "[::1]:8410"])
def test_this_machine_may_be_called_by_each_of_its_names(reader: Reader, host: str) -> None:
    assert reader.client.get(reader.url("today"), headers={"Host": host}).status_code == 200


def test_another_machines_number_is_not_this_machine(reader: Reader) -> None:
    answer = reader.client.get(reader.url("today"), headers={"Host": "192.168.1.20:8410"})
    assert answer.status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_form_on_another_page_writes_nothing(reader: Reader, headers: dict[str, str]) -> None:
    fields = reader.fields("enter/test?what=alkalinity") | {"value": "8.1"}
    answer = reader.client.post(reader.url("enter/test"), data=fields, headers=headers)
    assert answer.status_code == 403


def test_the_head_of_a_page_is_that_of_the_page(reader: Reader) -> None:
    for path in (reader.url("log"), "/openapi.json", reader.url("nowhere")):
        whole, head = reader.client.get(path), reader.client.head(path)
        assert (head.status_code, head.text) == (whole.status_code, "")
        assert head.headers["content-length"] == str(len(whole.content))
    assert reader.client.put(reader.url("log")).status_code == 405


def test_every_answer_forbids_what_is_not_ours(reader: Reader) -> None:
    for path in (reader.url("today"), "/nowhere", "/openapi.json", "/api/v1/today"):
        policy = reader.client.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "*" not in policy


def test_no_page_has_a_script_or_style_of_its_own(reader: Reader) -> None:
    for path in ("today", "water/alkalinity", "enter/sitting", "log", "balance", "access"):
        page = reader.get(path)
        assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:", page)
        assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", page))


def test_read_only_shows_everything_and_takes_nothing(book: str, open_at: Open) -> None:
    fields = open_at(book).fields("enter/test?what=alkalinity") | {"value": "8.1"}
    looking = open_at(book, read_only=True)
    page = looking.get("today")
    assert 'class="thumb"' not in page
    assert looking.client.post(looking.url("enter/test"), data=fields).status_code == 403
    token = passes.make_token(open_system(book), "x", ["facts"], now=NOW)[0]
    body = {"facts": [{"kind": "note", "detail": {"text": "x"}}]}
    headers = {"Authorization": f"Bearer {token}"}
    assert looking.client.post("/api/v1/facts", json=body, headers=headers).status_code == 403


def test_a_helpers_link_shows_one_system_and_expires(book: str, guarded: Reader) -> None:
    secret, made = passes.make_link(
        open_system(book), "the neighbour", lasts=timedelta(days=1), now=NOW
    )
    guarded.client.get(f"/look/{secret}")
    page = guarded.get("today")
    assert 'class="thumb"' not in page
    guarded.get("access", status=404)
    sent = {"token": "", "value": "8"}
    assert guarded.client.post(guarded.url("enter/test"), data=sent).status_code == 403
    passes.end_pass(open_system(book), made.id, now=NOW)
    assert "run out" in guarded.get("today", status=403)


def test_a_link_that_is_wrong_or_too_long_opens_nothing(book: str, guarded: Reader) -> None:
    assert guarded.client.get("/look/brine_nothing").status_code == 404
    with pytest.raises(passes.PassUnfit):
        passes.make_link(open_system(book), "x", lasts=timedelta(days=400), now=NOW)


def _photo(**exif: object) -> bytes:
    image = Image.new("RGB", (2400, 1800), (120, 60, 90))
    out = io.BytesIO()
    tags = Image.Exif()
    tags[0x0112] = 6  # orientation: turned by 90 degrees (Exif 2.32, table 4)
    tags.get_ifd(0x8825)[2] = (52.0, 5.0, 7.0)  # GPS latitude (Exif 2.32, table 15)
    tags[0x010F] = "a maker"
    image.save(out, "JPEG", exif=tags)
    return out.getvalue()


def test_a_photo_is_kept_small_upright_and_without_where_it_was_taken(
    reader: Reader, book: str
) -> None:
    fields = reader.fields("enter/note") | {"text": "a photo"}
    answer = reader.client.post(
        reader.url("enter/note"),
        data=fields,
        files={"photo": ("IMG_1.jpg", _photo(), "image/jpeg")},
    )
    assert "Written down" in answer.text
    chain = re.search(r"/fact/(\w+)/undo", answer.text)
    assert chain is not None
    kept = photo_of(open_system(book), chain[1])
    assert kept is not None
    with Image.open(io.BytesIO(kept)) as image:
        assert image.size == (1200, 1600)
        assert not image.getexif()
    assert b"Exif" not in kept
    shown = reader.client.get(reader.url(f"photo/{chain[1]}"))
    assert shown.headers["content-type"] == "image/jpeg"


def test_a_photo_that_was_cut_off_from_its_fact_comes_with_the_same_form_again(
    reader: Reader, book: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    fields = reader.fields("enter/note") | {"text": "a photo"}
    files = {"photo": ("IMG_1.jpg", _photo(), "image/jpeg")}

    def fails(*_words: object, **_more: object) -> None:
        raise OSError("the power went")

    with monkeypatch.context() as patch:
        patch.setattr("brinebook.web.entry.add_photo", fails)
        cut = reader.client.post(reader.url("enter/note"), data=fields, files=files)
        assert cut.status_code == 500
    answer = reader.client.post(reader.url("enter/note"), data=fields, files=files)
    assert "It was written down before" in answer.text
    chain = re.search(r"/fact/(\w+)/undo", answer.text)
    assert chain is not None
    assert photo_of(open_system(book), chain[1]) is not None
    assert reader.get("log?kind=note").count("a photo") == 1


@pytest.mark.parametrize(
    "data",
    [b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", b"GIF89a" + b"0" * 50,
     b"\xff\xd8\xff\xe0 cut off", b"%PDF-1.4"],
)  # fmt: skip
def test_what_is_not_a_photo_is_refused_whatever_it_is_called(reader: Reader, data: bytes) -> None:
    fields = reader.fields("enter/note") | {"text": "a photo"}
    answer = reader.client.post(
        reader.url("enter/note"), data=fields, files={"photo": ("a.jpg", data, "image/jpeg")}
    )
    assert answer.status_code == 422
    assert "can&#39;t be taken" in answer.text


def test_more_than_a_photo_is_not_read(reader: Reader) -> None:
    begun = time.monotonic()
    answer = reader.client.post(reader.url("enter/note"), content=b"0" * (17 * 2**20))
    assert answer.status_code == 413
    assert time.monotonic() - begun < 10
