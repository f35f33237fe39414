"""A server that speaks FTP over TLS, as a process of its own: module, ROOT CERTIFICATE PORT.

One user may write there: `restorer`, with the password that comes in on standard input.
"""

from __future__ import annotations

import sys

from pyftpdlib.authorizers import DummyAuthorizer
from pyftpdlib.handlers import TLS_FTPHandler
from pyftpdlib.servers import FTPServer

USER = "restorer"


def main() -> None:
    root, certificate, port = sys.argv[1:]
    authorizer = DummyAuthorizer()
    authorizer.add_user(USER, sys.stdin.readline().strip(), root, perm="elradfmwMT")
    TLS_FTPHandler.authorizer = authorizer
    TLS_FTPHandler.certfile = certificate
    TLS_FTPHandler.tls_control_required = True
    TLS_FTPHandler.tls_data_required = True
    FTPServer(("127.0.0.1", int(port)), TLS_FTPHandler).serve_forever()


if __name__ == "__main__":
    main()
