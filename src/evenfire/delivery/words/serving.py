"""What is said when the web app is started: how to open it, and why it was not started."""

from typing import Final

NO_PERSON: Final = (
    "Nobody is known in this store, so whoever sits at this computer may write: this link lets one browser in, once. "
    'Add the people who work here with evenfire store person "NAME"; from then on everybody logs in, here too.'
)
NOBODY_LOGS_IN: Final = (
    'Nobody can log in yet. A person of the store gets a passphrase with evenfire store passphrase "NAME", a new one '
    'is added with evenfire store person "NAME"; both work while this runs.'
)
LOGIN: Final = "Everybody logs in with name and passphrase."
COMPARE: Final = (
    "Nobody vouches for this certificate, so every browser warns. On each device, look at the certificate that the "
    "warning shows and compare its SHA-256 fingerprint with this one before you go on. If it is another one, it is not "
    "this computer: stop."
)
BEHIND: Final = (
    "Answers the proxy at {address} alone, and believes what it says of the browser. The proxy has to speak TLS to "
    "browsers, and to set X-Forwarded-Proto and X-Forwarded-For itself, whatever came from outside."
)
TROUBLE: Final = "What goes wrong is written to {path}."
STOP: Final = "Stop it with Ctrl-C."

NOT_AN_ADDRESS: Final = (
    "--listen {found!r} is no address of this computer; write one, such as 127.0.0.1 or 192.168.7.1."
)
IN_THE_OPEN: Final = (
    "--listen {address} can be reached by other computers, and passphrases would travel in the open. Give --tls-cert "
    "and --tls-key, or --self-signed, or --behind the address of a proxy that speaks TLS."
)
WHICH_NAME: Final = "Say with --name by which name or address browsers open it; with {option} it cannot be known."
BAD_NAME: Final = "--name {found!r} is no name or address of a computer, with a port or without."
BAD_PROXY: Final = "--behind {found!r} is no address; write the one from which the proxy connects, such as 127.0.0.1."
HALF_A_CERTIFICATE: Final = "--tls-cert and --tls-key belong together; give both."
TWO_CERTIFICATES: Final = "Give --self-signed or a certificate of your own, not both."
NO_PORT: Final = "Port {port} of {address} cannot be listened on: {why}. Another one: --port."


def bad_certificate(certificate: str, key: str) -> str:
    """Why a certificate cannot be shown."""
    return (
        f"{certificate} and {key} are no certificate with its key that can be used: PEM files that belong together, "
        "the key not encrypted."
    )
