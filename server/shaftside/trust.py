"""What tells a phone's owner how to trust this server's certificate authority.

Served on https as /trust and, for the first visit, on a second port over plain http: a phone cannot fetch over
https what it needs in order to trust https. Nothing else is served there.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from html import escape
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]

CERTIFICATE = "/trust/authority.crt"
CERTIFICATE_TYPE = "application/x-x509-ca-cert"
POLICY = "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"


@dataclass(frozen=True)
class Trust:
    """The authority as phones get it. certificate: DER. address: where the phone app is, over https."""

    certificate: bytes
    fingerprint: str
    address: str

    @classmethod
    def read(cls, pem: bytes, fingerprint: str, address: str) -> Trust:
        """From the authority's PEM file. Raises ValueError when it is not a certificate."""
        return cls(x509.load_pem_x509_certificate(pem).public_bytes(Encoding.DER), fingerprint, address)


def page(trust: Trust | None, style: str | None = "/phone/style/tokens.css") -> str:
    """The page as HTML. trust None: the server does not run an authority of its own."""
    link = f'<link rel="stylesheet" href="{escape(style)}">' if style else ""
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Trust this server · Shaftside</title>'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">{link}</head>'
        f"<body><main><h1>Trust this server on your phone</h1>{_none() if trust is None else _steps(trust)}</main></body></html>"
    )


def _none() -> str:
    return (
        "<p>This server does not use a certificate authority of its own. If your phone warns about the connection, "
        "do not go on: ask whoever runs this server.</p>"
    )


def _steps(trust: Trust) -> str:
    return f"""
<p>The phone app keeps working with no network only over a connection your phone trusts. This server made its own
certificate authority. It can vouch for this one machine and for nothing else.</p>
<h2>1. Compare the fingerprint</h2>
<p>Get these figures from whoever runs this server, by voice or on paper; the server prints them at its start. Go on only if they
are the same as here and as your phone shows.</p>
<p><code>{escape(trust.fingerprint)}</code></p>
<h2>2. Download the certificate</h2>
<p><a href="{CERTIFICATE}" download="shaftside-authority.crt">Download the authority's certificate</a></p>
<h2>3. Tell the phone to trust it</h2>
<h3>Phones with an Android system</h3>
<ol><li>Open the phone's settings and search for “CA certificate”.</li>
<li>Choose to install a CA certificate, read the phone's warning, and choose to install anyway.</li>
<li>Pick the file you downloaded.</li></ol>
<h3>Phones with an iOS system</h3>
<ol><li>Allow the download of a configuration profile when asked.</li>
<li>Open the phone's settings: a downloaded profile is offered near the top. Install it.</li>
<li>In the settings go to General, About, Certificate Trust Settings, and switch this authority on.</li></ol>
<h2>4. Open the phone app</h2>
<p><a href="{escape(trust.address)}">{escape(trust.address)}</a></p>
<p>If the phone belongs to a company, its administrator may have to do this for you. To undo it later, remove the
certificate in the same place of the phone's settings.</p>
"""


def application(trust: Trust) -> Callable[[MutableMapping[str, Any], Receive, Send], Awaitable[None]]:
    """The whole of the plain-http port, as ASGI: the page, the certificate, and a plain 404 for all else."""
    answers = {
        "/": ("text/html; charset=utf-8", page(trust, None).encode()),
        "/trust": ("text/html; charset=utf-8", page(trust, None).encode()),
        CERTIFICATE: (CERTIFICATE_TYPE, trust.certificate),
    }

    async def app(scope: MutableMapping[str, Any], receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            while (await receive())["type"] != "lifespan.shutdown":
                await send({"type": "lifespan.startup.complete"})
            await send({"type": "lifespan.shutdown.complete"})
            return
        if scope["type"] != "http":
            return
        found = answers.get(scope["path"]) if scope["method"] in ("GET", "HEAD") else None
        kind, body = found or (
            "text/plain; charset=utf-8",
            b"Nothing here but /trust. The app itself is on https only.\n",
        )
        headers = {
            "content-type": kind,
            "content-length": str(len(body)),
            "cache-control": "no-store",
            "content-security-policy": POLICY,
            "x-content-type-options": "nosniff",
            "referrer-policy": "no-referrer",
        }
        await send(
            {
                "type": "http.response.start",
                "status": 200 if found else 404,
                "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
            }
        )
        await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else body})

    return app
