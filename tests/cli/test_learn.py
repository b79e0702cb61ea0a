"""`learn` on simulated lines: guarded, forecast first, spans in words, and going on from a record."""

from __future__ import annotations

from pathlib import Path

from tests.fakes.command_in_process import ran

LEARN = "learn --port demo:greenhouse --clock virtual --address 21 --baud 9600 --framing 8N1"
SAFE = ("--reading-is-safe", "a simulated line")


def test_reading_blindly_needs_a_reason() -> None:
    """Reading can clear or latch things in some devices: nothing is sent before somebody says why not here."""
    ended = ran(*LEARN.split(), "--no-record")

    assert ended.status == 2
    assert "clear counters, acknowledge alarms or latch values" in ended.err
    assert "--reading-is-safe" in ended.err


def test_spans_are_said_with_what_it_took_and_what_it_may_have_missed() -> None:
    ended = ran(*LEARN.split(), *SAFE, "--table", "input_registers", "--to", "199", "--alone", "--no-record")

    assert ended.status == 0, ended.err
    first, *_ = ended.out.splitlines()
    assert first.startswith("input registers 0 to 199 of 21 at 9600 8N1: 2 reads, ")
    assert "can be read, " in ended.out
    assert "spans of fewer than 4 addresses may have been missed: --shortest-span 1 asks every one" in ended.out


def test_an_address_range_the_wrong_way_round_is_refused() -> None:
    ended = ran(*LEARN.split(), *SAFE, "--from", "20", "--to", "10", "--no-record")

    assert ended.status == 2
    assert "--from 20 lies behind --to 10" in ended.err


def test_what_a_record_tells_is_not_asked_again(tmp_path: Path) -> None:
    first, second = tmp_path / "one.buswalk.sqlite", tmp_path / "two.buswalk.sqlite"
    rest = ("--table", "input_registers", "--to", "99", "--alone", "--json")
    whole = ran(*LEARN.split(), *SAFE, *rest, "--record", str(first))

    again = ran(*LEARN.split(), *SAFE, *rest, "--record", str(second), "--go-on", str(first))

    (learnt,) = [one for one in whole.events if one["event"] == "map_learnt"]
    (relearnt,) = [one for one in again.events if one["event"] == "map_learnt"]
    assert learnt["reads"] > 0
    assert relearnt["reads"] == 0
    assert relearnt["spans"] == learnt["spans"]


def test_a_record_to_go_on_from_that_is_none_gets_a_sentence(tmp_path: Path) -> None:
    other = tmp_path / "other.txt"
    other.write_text("no record")

    ended = ran(*LEARN.split(), *SAFE, "--go-on", str(other), "--no-record")

    assert ended.status == 2
    assert "other.txt" in ended.err
