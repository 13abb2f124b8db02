"""Posting to a real receiver on loopback, and to those who mean no good."""

import socket
import ssl
import threading
import time
from contextlib import suppress
from ipaddress import ip_address
from pathlib import Path

import pytest

from core.webhooks import sending
from core.webhooks.addresses import Address, WebhookAddressError
from core.webhooks.sending import WebhookNameError, own_sender, resolve_host
from tests.core.webhook_hub import (
    LOOPBACK,
    NAME,
    house_sender,
    listening,
    resolver,
    trust_in_hub,
)

BODY = '{"é": 1}'.encode()
HEADERS = {"webhook-id": "msg_1"}


def test_a_message_arrives_as_it_was_made() -> None:
    with listening((201, {}, b"thanks")) as hub:
        answer = house_sender().post(hub.url, body=BODY, headers=HEADERS)

    assert (answer.status, answer.problem, answer.text) == (201, "", "thanks")
    assert answer.is_taken
    (came,) = hub.came
    assert (came.path, came.body) == ("/hook?of=spurbook", BODY)
    assert came.headers["host"] == f"127.0.0.1:{hub.port}"
    assert came.headers["content-type"] == "application/json"
    assert came.headers["webhook-id"] == "msg_1"


def test_over_tls_the_certificate_has_to_be_the_hosts(tmp_path: Path) -> None:
    trusting = house_sender(trust=trust_in_hub())
    with listening(tls_in=tmp_path) as hub:
        url = f"https://{NAME}:{hub.port}/hook"

        taken = trusting.post(url, body=BODY, headers=HEADERS)
        other = trusting.post(
            f"https://other.example:{hub.port}/", body=BODY, headers=HEADERS
        )
        stranger = house_sender().post(url, body=BODY, headers=HEADERS)

    assert taken.status == 204
    assert (other.status, stranger.status) == (None, None)
    assert "certificate" in other.problem
    assert "certificate" in stranger.problem
    assert [came.headers["host"] for came in hub.came] == [f"{NAME}:{hub.port}"]


@pytest.mark.parametrize("status", [301, 302, 303, 307, 308])
def test_a_redirect_is_not_followed(status: int) -> None:
    with listening() as inside:
        onward = {"Location": inside.url}
        with listening((status, onward, b"")) as hub:
            answer = house_sender().post(hub.url, body=BODY, headers=HEADERS)

    assert (answer.status, answer.is_taken) == (status, False)
    assert "redirects are not followed" in answer.problem
    assert (len(hub.came), inside.came) == (1, [])


@pytest.mark.parametrize("status", [400, 404, 410, 429, 500, 503])
def test_only_2xx_is_taken(status: int) -> None:
    with listening((status, {}, b"no\x00\x1b[2J" + b"x" * 5_000)) as hub:
        answer = house_sender().post(hub.url, body=BODY, headers=HEADERS)

    assert not answer.is_taken
    assert f"answered {status}" in answer.problem
    assert answer.text.startswith("no  [2Jxx")
    assert len(answer.text) == sending.SHOWN_ANSWER


def test_a_body_that_drips_is_cut_off_and_its_status_counts() -> None:
    sender = house_sender(answer_s=0.4)
    with listening((200, {}, b"z" * 60)) as hub:
        hub.drip_s = 0.1
        began = time.monotonic()
        answer = sender.post(hub.url, body=BODY, headers=HEADERS)
        took_s = time.monotonic() - began

    assert (answer.status, answer.text) == (200, "")
    assert took_s < 3


def test_no_answer_in_time_is_a_failure() -> None:
    sender = house_sender(answer_s=0.3)
    with listening() as hub:
        hub.wait = lambda: time.sleep(1)
        answer = sender.post(hub.url, body=BODY, headers=HEADERS)

    assert answer.status is None
    assert "within 0.3 seconds" in answer.problem


def _drip_headers(server: socket.socket, until: threading.Event) -> None:
    asker, _ = server.accept()
    with asker, suppress(OSError):
        asker.sendall(b"HTTP/1.1 200 OK\r\nX-Slow: ")
        while not until.wait(0.1):
            asker.sendall(b"z")


def test_headers_that_drip_are_cut_off_too() -> None:
    done = threading.Event()
    with socket.create_server(("127.0.0.1", 0)) as server:
        thread = threading.Thread(target=_drip_headers, args=(server, done))
        thread.start()
        url = f"http://127.0.0.1:{server.getsockname()[1]}/"
        began = time.monotonic()
        answer = house_sender(answer_s=0.5).post(url, body=BODY, headers=HEADERS)
        took_s = time.monotonic() - began
        done.set()
        thread.join()

    assert answer.status is None
    assert "within 0.5 seconds" in answer.problem
    assert took_s < 3


def test_a_closed_port_is_a_failure() -> None:
    with listening() as hub:
        url = hub.url

    answer = house_sender().post(url, body=BODY, headers=HEADERS)

    assert (answer.status, answer.text) == (None, "")
    assert "refused" in answer.problem.lower()


def test_nothing_is_sent_inside_unless_allowed() -> None:
    with listening() as hub:
        answers = [
            house_sender(networks=()).post(url, body=BODY, headers=HEADERS)
            for url in (
                hub.url,
                hub.url.replace("http:", "https:"),
                f"https://localhost:{hub.port}/",
                f"https://{NAME}:{hub.port}/",
            )
        ]

    assert [answer.status for answer in answers] == [None] * 4
    assert all("Accepted:" in answer.problem for answer in answers)
    assert hub.came == []


# Other ways to write 127.0.0.1, which the resolver of this computer understands.
@pytest.mark.parametrize("host", ["2130706433", "0x7f000001", "0177.0.0.1", "127.1"])
def test_other_spellings_of_loopback_lead_nowhere(host: str) -> None:
    sender = house_sender(networks=(), resolve=resolve_host)
    with listening() as hub:
        answer = sender.post(f"https://{host}:{hub.port}/", body=BODY, headers=HEADERS)

    assert answer.status is None
    assert "127.0.0.1" in answer.problem or "not known" in answer.problem
    assert hub.came == []


def test_one_bad_address_among_good_ones_is_enough_to_refuse() -> None:
    sender = house_sender(networks=(), resolve=resolver("8.8.8.8", "10.0.0.1"))

    answer = sender.post("https://hub.example/", body=BODY, headers=HEADERS)

    assert answer.status is None
    assert "10.0.0.1" in answer.problem


def test_a_name_that_leads_elsewhere_the_second_time(tmp_path: Path) -> None:
    asked: list[str] = []

    def rebinding(host: str) -> tuple[Address, ...]:
        asked.append(host)
        # Good when looked at; a second look would be led inside.
        return (ip_address("127.0.0.1" if len(asked) == 1 else "169.254.169.254"),)

    sender = house_sender(resolve=rebinding, trust=trust_in_hub())
    with listening(tls_in=tmp_path) as hub:
        url = f"https://{NAME}:{hub.port}/"
        first = sender.post(url, body=BODY, headers=HEADERS)
        second = sender.post(url, body=BODY, headers=HEADERS)

    # The connection went to what was checked, by one look; the next is refused.
    assert (first.status, len(asked)) == (204, 2)
    assert second.status is None
    assert "169.254.169.254" in second.problem
    assert len(hub.came) == 1


def test_the_next_address_is_tried_where_one_does_not_answer() -> None:
    with listening() as hub:
        # Nothing listens on the first one at this port.
        sender = house_sender(resolve=resolver("127.0.0.2", "127.0.0.1"))
        answer = sender.post(f"http://{NAME}:{hub.port}/", body=BODY, headers=HEADERS)

    assert answer.status == 204


def test_a_name_that_nobody_knows() -> None:
    with pytest.raises(WebhookNameError, match="not known"):
        resolve_host("a..b")
    with pytest.raises(WebhookNameError, match="no address"):
        sending.checked_addresses(
            sending.target_of("https://hub.example/", networks=()),
            resolve=lambda host: (),
            networks=(),
        )


def test_this_computer_knows_itself() -> None:
    assert ip_address("127.0.0.1") in resolve_host("127.0.0.1")


def test_what_posts_by_itself_trusts_what_this_computer_does(settings: object) -> None:
    assert own_sender().networks == ()
    settings.WEBHOOK_NETWORKS = LOOPBACK  # type: ignore[attr-defined]
    sender = own_sender()
    assert sender.networks == LOOPBACK
    assert sender.trust.verify_mode is ssl.CERT_REQUIRED
    assert sender.trust.check_hostname
    assert issubclass(WebhookNameError, WebhookAddressError)


def test_what_is_no_http_is_a_failure() -> None:
    with listening() as hub:
        hub.wait = lambda: (_ for _ in ()).throw(OSError)
        answer = house_sender().post(hub.url, body=BODY, headers=HEADERS)

    assert answer.status is None
    assert "Disconnected" in answer.problem
