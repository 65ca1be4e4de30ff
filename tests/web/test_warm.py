"""The warm-up: it does load what the first assessment needs, and nothing hangs on it."""

from __future__ import annotations

import threading

import pytest

from stillroom.web import serve, warm
from web.test_security import run


def test_it_loads_what_an_assessment_needs():
    """In a process of its own; without the database, which is not even set up there."""
    done = run(
        "import sys; from stillroom.web.warm import warm\n"
        "assert not {'chemicals', 'rdkit', 'typst', 'ortools'} & set(sys.modules), 'nothing is loaded on import'\n"
        "warm()\n"
        "assert {'chemicals', 'rdkit', 'typst', 'ortools'} <= set(sys.modules)\n"
        "assert 'django.db' not in sys.modules\n"
    )
    assert done.returncode == 0, done.stderr
    assert "failed" not in done.stderr


@pytest.mark.parametrize("fault", [ImportError("no such library"), MemoryError(), ZeroDivisionError()])
def test_a_failure_is_a_line_in_the_log_and_no_more(fault, monkeypatch, caplog):
    from stillroom import inventory

    def fails(*_):
        raise fault

    monkeypatch.setattr(inventory, "read_bytes", fails)
    thread = warm.start()
    thread.join(10)
    assert thread.daemon and not thread.is_alive(), "a stop of the server never waits for it"
    assert "the first assessment takes a few seconds longer" in caplog.text


def test_the_server_listens_first_and_does_not_wait(monkeypatch, tmp_path, capsys):
    import waitress

    order, hold = [], threading.Event()

    class Server:
        def run(self):
            order.append("runs")
            hold.set()

    monkeypatch.setattr(serve, "prepare", lambda data: None)
    monkeypatch.setattr("stillroom.records.store.no_user_yet", lambda: False)
    monkeypatch.setattr(waitress, "create_server", lambda *_, **__: (order.append("listens"), Server())[1])
    monkeypatch.setattr(warm, "warm", lambda: (hold.wait(10), order.append("warmed")))
    serve.serve("127.0.0.1", 8000, tmp_path)
    for thread in threading.enumerate():
        if thread.name == "warm-up":
            thread.join(10)
    assert order == ["listens", "runs", "warmed"]
    assert "http://127.0.0.1:8000/" in capsys.readouterr().err
