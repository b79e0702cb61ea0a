"""A simulated site, built from a scenario or from a few lines, and one question to it as a program asks it."""

from __future__ import annotations

from pathlib import Path

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.reference_codec.check_sum import closed
from simulated_line.scenario.reading import load_scenario, named_scenario
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline

N81 = SerialSettings.of(9600, "8N1")
EXAMPLE = '[[device]]\nname = "example"\naddress = 37\nsettings = "9600 8N1"\n'
"""Server 37 with the words 215 and 450 first, as in the running example of the fault catalogue."""


def shipped_site(name: str) -> SimulatedSite:
    """Return the site of a shipped scenario."""
    return build_site(load_scenario(named_scenario(name)), Timeline())


def written_site(folder: Path, text: str) -> SimulatedSite:
    """Return the site of a scenario written here; name and story are put in front."""
    path = folder / "written.toml"
    path.write_text(f'name = "written"\nstory = "for a test"\n{text}')
    return build_site(load_scenario(path), Timeline())


def arrivals_of(
    site: SimulatedSite, request: bytes, settings: SerialSettings = N81, wait_s: float = 1.2
) -> list[Arrival]:
    """Return what comes after a request, its check sum included."""
    line = site.open_line("test", settings, lambda: None)
    until_s = line.write(request).end_not_after_s + wait_s
    arrivals: list[Arrival] = []
    while (arrival := line.read(until_s)) is not None:
        arrivals.append(arrival)
    return arrivals


def hex_of(arrivals: list[Arrival]) -> str:
    """Return all bytes as the catalogue writes them."""
    return b"".join(one.data for one in arrivals).hex(" ").upper()


def reply_to(site: SimulatedSite, body: str, wait_s: float = 0.2) -> str:
    """Ask address and PDU (hex) at 9600 8N1; return address and PDU of the reply, empty for silence."""
    return hex_of(arrivals_of(site, closed(bytes.fromhex(body)), wait_s=wait_s))[:-6]


def registers_in(reply: str) -> list[int]:
    """Return the registers of a reply to function 03 or 04."""
    data = bytes.fromhex(reply)[3:]
    return [int.from_bytes(data[at : at + 2], "big") for at in range(0, len(data), 2)]
