"""Listening for browsers until told to stop."""

from __future__ import annotations

import contextlib
import socket
import ssl
from dataclasses import replace
from pathlib import Path

from brinebook.desk import doors
from brinebook.errors import UsageProblem
from brinebook.web.app import create_app
from brinebook.web.notebook import Notebook
from brinebook.web.options import Options


class PasswordNeeded(UsageProblem):
    """Others could reach the notebook, and it has no password."""

    code = "E-SERVE-PASSWORD"

    def __init__(self, host: str) -> None:
        super().__init__(
            f"At {host} others than this machine can reach the notebook, and it has no password.",
            "Set one first: brinebook serve --set-password",
        )


class AddressTaken(UsageProblem):
    """The address can't be listened at."""

    code = "E-SERVE-ADDRESS"

    def __init__(self, host: str, port: int, why: str) -> None:
        super().__init__(
            f"{host}, port {port}, can't be listened at: {why}.",
            "Choose another port with --port, or end what is listening there.",
        )


class CertificateUnreadable(UsageProblem):
    """The certificate or its key can't be used."""

    code = "E-SERVE-CERT"

    def __init__(self, cert: Path, key: Path, why: str) -> None:
        super().__init__(
            f"{cert} and {key} can't be used as a certificate and its key: {why}.",
            "Both are PEM files, and the key is the one that the certificate was made with.",
        )


def serve(options: Options, *, ready: object = None) -> None:
    """Serve until interrupted; ``ready`` is called once with the address. Raises PasswordNeeded,
    AddressTaken, or what opening the book raises."""
    import uvicorn

    app = create_app(options)
    notebook: Notebook = app.state.notebook
    if not options.loopback and doors.password_hash(notebook.shelf.book) is None:
        raise PasswordNeeded(options.host)
    _check_certificate(options)
    listening = _listen(options)
    if callable(ready):
        ready(_address_to_type(options))
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        date_header=True,
        proxy_headers=True,
        forwarded_allow_ips="127.0.0.1,::1",
        ssl_certfile=str(options.cert) if options.cert else None,
        ssl_keyfile=str(options.key) if options.key else None,
        timeout_graceful_shutdown=3,
    )
    with contextlib.suppress(KeyboardInterrupt):  # Ctrl-C is how it is closed
        uvicorn.Server(config).run(sockets=[listening])


def _address_to_type(options: Options) -> str:
    """The address for a browser: where every address is listened at, this machine's own number."""
    far = {"0.0.0.0": "192.0.2.1", "::": "2001:db8::1"}.get(options.host)
    if far is None:
        return options.address
    family = socket.AF_INET6 if ":" in far else socket.AF_INET
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as way:
            way.connect((far, 9))  # of documentation (RFC 5737, 3849): nothing is sent, only routed
            return replace(options, host=way.getsockname()[0]).address
    except OSError:  # no network: this machine alone can reach it
        return replace(options, host="localhost").address


def _check_certificate(options: Options) -> None:
    if options.cert is None or options.key is None:
        return
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(options.cert, options.key)
    except (OSError, ValueError) as error:  # an SSLError is an OSError
        why = getattr(error, "strerror", None) or str(error)
        raise CertificateUnreadable(options.cert, options.key, why.lower()) from None


def _listen(options: Options) -> socket.socket:
    family = socket.AF_INET6 if ":" in options.host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((options.host, options.port))
        listening.listen(128)  # from here on a browser that was told the address waits its turn
    except (OSError, OverflowError) as error:
        listening.close()
        why = getattr(error, "strerror", None) or str(error)
        raise AddressTaken(options.host, options.port, why.lower()) from None
    return listening
