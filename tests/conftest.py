"""For every test: no socket leaves the machine, none is timed; the slow ones run last."""

from __future__ import annotations

import socket

import pytest
from hypothesis import settings

LOOPBACK = ("127.", "::1", "localhost", "0.0.0.0")  # noqa: S104 - compared with, never bound


# No test is timed: a busy machine is not a wrong answer.
settings.register_profile("house", deadline=None)
settings.load_profile("house")


def pytest_configure(config):
    config.addinivalue_line("markers", "slow: simulations, PDFs and whole ways; they run last")
    config.addinivalue_line("markers", "minutes: begun first where several run beside each other")


def pytest_collection_modifyitems(config, items):
    beside = hasattr(config, "workerinput")  # one worker goes on with the fast ones meanwhile

    def place(item):
        if beside and item.get_closest_marker("minutes") is not None:
            return 0
        return 1 if item.get_closest_marker("slow") is None else 2

    items.sort(key=place)


def _stays_here(address) -> bool:
    return not isinstance(address, tuple) or str(address[0]).startswith(LOOPBACK)


@pytest.fixture(autouse=True, scope="session")
def no_way_out():
    """Outgoing sockets are refused, names are not looked up."""
    plain = {name: getattr(socket.socket, name) for name in ("connect", "connect_ex", "sendto")}
    look_up = socket.getaddrinfo

    def guarded(name):
        def call(self, *args):
            if not _stays_here(args[-1]):
                message = f"a test reached for the network: {args[-1]!r}"
                raise PermissionError(message)
            return plain[name](self, *args)

        return call

    def guarded_look_up(host, *args, **kwargs):
        if host is not None and not str(host).startswith(LOOPBACK):
            message = f"a test looked up {host!r}"
            raise PermissionError(message)
        return look_up(host, *args, **kwargs)

    for name in plain:
        setattr(socket.socket, name, guarded(name))
    socket.getaddrinfo = guarded_look_up
    yield
    for name, method in plain.items():
        setattr(socket.socket, name, method)
    socket.getaddrinfo = look_up
